package review

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// shifted gives a decimal numeral with its point moved so many places to the right, and nothing else changed.
func shifted(t testing.TB, numeral string, places int) string {
	whole, part, _ := strings.Cut(numeral, ".")
	for range places {
		head := "0"
		if part != "" {
			head, part = part[:1], part[1:]
		}
		whole += head
	}
	for range -places {
		whole = "0" + whole
		whole, part = whole[:len(whole)-1], whole[len(whole)-1:]+part
	}
	if strings.Trim(whole+part, "0123456789") != "" {
		t.Fatalf("%q is no plain numeral", numeral)
	}
	return strings.TrimSuffix(whole+"."+part, ".")
}

// inUnit writes one column of a real capture in another unit, digit by digit.
func inUnit(t testing.TB, capture []byte, columns string, column, places int) []byte {
	lines := strings.SplitAfter(string(capture), "\n")
	if !strings.HasPrefix(lines[0], columns) {
		t.Fatalf("columns %q", lines[0])
	}
	var out strings.Builder
	out.WriteString(lines[0])
	for _, line := range lines[1:] {
		if line == "" {
			continue
		}
		fields := strings.Split(line, ",")
		fields[column] = shifted(t, fields[column], places)
		out.WriteString(strings.Join(fields, ","))
	}
	return []byte(out.String())
}

// realForm writes the captures of a folder, what lies beside them and the plan for them anew: another unit, other file names, other names of the cards,
// declared the other way round.
func realForm(t testing.TB, from, plan, to string, places int, unit string, cards map[string]string, swap bool) {
	text, err := os.ReadFile(filepath.Join(plan, "plan.hcl"))
	if err != nil {
		t.Fatal(err)
	}
	s := strings.Replace(string(text), `column = "frame_ms", unit = "ms"`, fmt.Sprintf(`column = "frame_ms", unit = %q`, unit), 1)
	s = strings.Replace(s, `time = { column = "elapsed_s", unit = "s" }`, fmt.Sprintf(`time = { column = "elapsed_s", unit = %q }`, unit), 1)
	if swap {
		a, b := "card \"kestrel\" {\n  name   = \"kestrel\"", "card \"osprey\" {\n  name   = \"osprey\""
		s = strings.NewReplacer(a, b, b, a).Replace(s)
	}
	for _, c := range []struct{ was, is string }{{"{card}.{game}.{size}", "{size}.{game}.{card}"}, {"captures/", ""}, {".csv.gz", ".csv"},

		{`"kestrel"`, fmt.Sprintf("%q", cards["kestrel"])}, {"card.kestrel", "card." + cards["kestrel"]}, {`"osprey"`, fmt.Sprintf("%q", cards["osprey"])}} {
		s = strings.ReplaceAll(s, c.was, c.is)
	}
	if err := os.WriteFile(filepath.Join(to, "plan.hcl"), []byte(s), 0o666); err != nil {
		t.Fatal(err)
	}
	files, err := filepath.Glob(filepath.Join(from, "*.r?.*.csv*")) // frames and sensors
	if err != nil || len(files) == 0 {
		t.Fatalf("%d captures in %s, %v", len(files), from, err)
	}
	for _, name := range files {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if strings.HasSuffix(name, ".gz") {
			z, err := gzip.NewReader(bytes.NewReader(b))
			if err != nil {
				t.Fatal(err)
			}
			if b, err = io.ReadAll(z); err != nil {
				t.Fatal(err)
			}
		}
		parts := strings.SplitN(strings.TrimSuffix(filepath.Base(name), ".gz"), ".", 4) // card, game, size, the rest
		to := filepath.Join(to, strings.Join([]string{parts[2], parts[1], cards[parts[0]], parts[3]}, "."))
		if strings.Contains(parts[3], ".sensors.") {
			b = inUnit(t, b, "elapsed_s,core_temp_c,", 0, places+3)
		} else {
			b = inUnit(t, b, "frame,elapsed_s,frame_ms,", 2, places)
		}
		if err := os.WriteFile(to, b, 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

// realFormsChangeNothing reads real captures as they are, from base, and in other forms.
func realFormsChangeNothing(t *testing.T, captures, plan, base string) {
	itself := map[string]string{"kestrel": "kestrel", "osprey": "osprey"}
	renamed, back := map[string]string{"kestrel": "zander", "osprey": "a1"}, map[string]string{"zander": "kestrel", "a1": "osprey"}
	o := options(plan)
	o.Captures, o.Record, o.Keep = base, false, false
	asTheyAre := outcomeOf(t, do(t, o), itself)
	for _, x := range []struct {
		unit    string
		places  int
		rename  bool
		swap    bool
		workers int
	}{{"s", -3, false, false, 1}, {"us", 3, true, false, 8}, {"ns", 6, false, true, 3}, {"ms", 0, true, true, 2}} {
		cards, names := itself, itself
		if x.rename {
			cards, names = renamed, back
		}
		to := t.TempDir()
		realForm(t, captures, plan, to, x.places, x.unit, cards, x.swap)
		o := options(to)
		o.Record, o.Keep, o.Workers = false, false, x.workers
		outcomeOf(t, do(t, o), names).sameAs(t, asTheyAre)
	}
}

func TestHowRealCapturesAreWrittenDownChangesNoFigure(t *testing.T) {
	realFormsChangeNothing(t, "../../../testdata/real/captures", "../../../testdata/real", "")
}

func TestHowAllRealCapturesAreWrittenDownChangesNoFigure(t *testing.T) {
	captures := "../../../../shared/captures"
	if _, err := os.Stat(captures); err != nil {
		t.Skip("needs the shared captures beside the repository")
	}
	realFormsChangeNothing(t, captures, "../../../testdata/real-all", captures)
}
