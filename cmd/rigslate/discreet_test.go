package main

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"fmt"
	"html"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/rigslate/rigslate/export/archive/olden"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
)

// planted is part of every name and private word of the plan in testdata/discreet.
const planted = "qzxsecret"

// freely chosen are not all texts of a plan: these are of a fixed set, or of the reviewer's and not of any use to say something in.
var fixedTexts = regexp.MustCompile(`^(Cards\[\]\.Codename|Review\.Baseline\..*|.*\.(Drive|Lows|MeasuredAt|Metric|Unit|Kind|Currency|Load|OnDie|Type|Weighting|At|From|` +
	`Delimiter|Decimal|Encoding|Comment|Accent|Layout|ColdJunction|Channel)|Statistics\..*|Controls\[\]\.Cell\.(Card|Mode)|.*\.Values\[\]\.Key|` +
	`Soaks\[\]\.Modes\[\]\.Mode|.*\.Expect\[\]\.Key|.*\.Sweep|Readings\[\]\.Probe|.*\.Channels\[\]\.Quantity|` +
	`(Claims|Sweeps|Readings|Soaks|Vouches|Matrices|Cells|Reuses)\[\]\..*Mode|Reuses\[\]\.(Edition|Despite\[\]))$`)

// texts walks the type of a value and collects what stands in each of its texts, by the way to it. A text that nothing stands in is there too.
func texts(v reflect.Value, at string, found map[string][]string) {
	switch t := v.Type(); {
	case t == reflect.TypeFor[finding.Place](), t == reflect.TypeFor[time.Time](), t == reflect.TypeFor[[]byte]():
	case t.Kind() == reflect.String:
		found[at] = append(found[at], v.String())
	case t.Kind() == reflect.Struct:
		for i := range t.NumField() {
			texts(v.Field(i), strings.TrimPrefix(at+"."+t.Field(i).Name, "."), found)
		}
	case t.Kind() == reflect.Slice:
		for i := range v.Len() {
			texts(v.Index(i), at+"[]", found)
		}
		if v.Len() == 0 {
			texts(reflect.New(t.Elem()).Elem(), at+"[]", found)
		}
	case t.Kind() == reflect.Pointer && v.IsNil():
		texts(reflect.New(t.Elem()).Elem(), at, found)
	case t.Kind() == reflect.Pointer:
		texts(v.Elem(), at, found)
	case t.Kind() == reflect.Map:
		panic("a plan has no maps")
	}
}

// writeDiscreet puts the review with the planted words into a folder that is called after one: its plan, captures and a soak's logs.
func writeDiscreet(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "qzxsecret_card")
	if err := os.CopyFS(dir, os.DirFS("testdata/discreet")); err != nil {
		t.Fatal(err)
	}
	const cell = "fjord-qzxsecret_card-qzxsecret_card_look_uhd-qzxsecret_card_"
	var bench strings.Builder
	bench.WriteString("file,card,game,resolution,repeat,launch,session,driver,outcome,note\n")
	for i, card := range []string{"tern_ref", "qzxsecret_card"} {
		for pass := 1; pass <= 4; pass++ {
			if pass == 4 && i == 0 {
				continue
			}
			var b strings.Builder
			b.WriteString("qzxsecret_card ms,qzxsecret_card program,qzxsecret_card load\n")
			for n := range 400 {
				fmt.Fprintf(&b, "%.3f,fjord for QZXsecret-SN-0417,%d\n", 16.0-float64(i)+0.01*float64((n*7+pass*3)%11)+0.2*float64(pass%2), n%100)
			}
			b.WriteString("QZXsecret Nine,fjord for QZXsecret-SN-0417,3\n") // a bad line
			name := "captures/qzxsecret_card/" + card + "-stock/" + cell + fmt.Sprint(pass) + ".csv"
			put(t, filepath.Join(dir, name), b.String())
			fmt.Fprintf(&bench, "%s,%s,fjord-qzxsecret_card,uhd-qzxsecret_card,%d,l%d QZXsecret Nine,QZXsecret-SN-0417 evening,%s,ok,QZXsecret-contact was there\n",
				name, card, pass, pass, []string{"612.4", "qzxsecret-beta 99"}[i])
		}
		var b strings.Builder
		b.WriteString("qzxsecret_card s,qzxsecret_card core,qzxsecret_card vr,qzxsecret_card room,qzxsecret_card w\n")
		for s := range 241 {
			fmt.Fprintf(&b, "%d,%.1f,%.1f,21.%d,%d\n", s, 70-5*float64(i)-30/(1+float64(s)/20), 60-4*float64(i)-20/(1+float64(s)/30), s%3, 250+s%5)
		}
		put(t, filepath.Join(dir, []string{"soak/qzxsecret_card/other tern_ref.csv", "soak/qzxsecret_card/soak-qzxsecret_card-qzxsecret_card-stock-1.csv"}[i]), b.String())
	}
	put(t, filepath.Join(dir, "bench-qzxsecret_card.csv"), bench.String())
	put(t, filepath.Join(dir, "captures/qzxsecret_card/qzxsecret_card-stock/fjord_9_QZXsecret Nine.csv"), "a stray\n")
	return dir
}

// says finds a planted word in what somebody reads, however it is written there.
func says(text []byte) string {
	forms := [][]byte{text, []byte(html.UnescapeString(string(text)))}
	var all any
	if json.Unmarshal(text, &all) == nil {
		forms = append(forms, fmt.Append(nil, all))
	}
	for _, b := range forms {
		low := bytes.ToLower(b)
		if at := bytes.Index(low, []byte(planted)); at >= 0 {
			return string(b[max(0, at-60):min(len(b), at+80)])
		}
	}
	return ""
}

// tellTale walks a folder of files that are shown, and what is packed in them, and lists the names and texts with a planted word.
func tellTale(t *testing.T, dir string) (found []string, files int) {
	t.Helper()
	var look func(name string, content []byte)
	look = func(name string, content []byte) {
		files++
		if strings.HasSuffix(name, ".parquet") {
			heads, table := parquetTexts(t, content)
			look(name+" as text", fmt.Append(nil, heads, table))
		}
		if said := says([]byte(name)); said != "" {
			found = append(found, "the name "+name)
		}
		if said := says(content); said != "" {
			found = append(found, fmt.Sprintf("%s: …%s…", name, said))
		}
	}
	err := filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		content, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		below, _ := filepath.Rel(dir, name)
		look(below, content)
		if z, err := zip.NewReader(bytes.NewReader(content), int64(len(content))); err == nil {
			for _, f := range z.File {
				r, err := f.Open()
				if err != nil {
					return err
				}
				inner, err := io.ReadAll(r)
				if err != nil {
					return err
				}
				look(below+"/"+f.Name, inner)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return found, files
}

// Every text that a reviewer can choose in a plan holds something that is withheld, and a field which somebody adds must too. Then nothing that
// is shown before the embargo says it: no screen, document, log line, page, chart, table, workbook or name of a file.
func TestNothingWithheldIsShown(t *testing.T) {
	t.Setenv("RIGSLATE_CHARTS", "svg")
	dir := writeDiscreet(t)
	before, after := []string{"--now", "2027-03-04T12:59:59Z"}, []string{"--now", "2027-03-04T13:00:00Z"}

	p, findings, err := plan.Load([]string{dir}, time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC))
	if err != nil || findings.HasErrors() {
		_ = finding.Print(os.Stderr, findings)
		t.Fatal(err)
	}
	found := map[string][]string{}
	texts(reflect.ValueOf(*p), "", found)
	for at, values := range found {
		if !fixedTexts.MatchString(at) && !slices.ContainsFunc(values, func(s string) bool { return says([]byte(s)) != "" }) {
			t.Errorf("nothing is planted in %s of the plan (%q): plant it in testdata/discreet/plan.hcl", at, values)
		}
	}

	call := func(when []string, args ...string) string {
		t.Helper()
		var out, log bytes.Buffer
		code := run(t.Context(), slices.Concat(args, when, []string{"--log-level", "debug"}), &out, &log)
		if code > 1 && args[0] != "verify" {
			t.Errorf("%v ended with %d: %s", args, code, log.String())
		}
		return out.String() + log.String()
	}
	cell := []string{"qzxsecret_card.stock"}
	commands := [][]string{{"check", dir}, {"check", dir, "--json"}, {"run", dir, "--partial"}, {"missing", dir, "--all"}, {"missing", dir, "--json"},
		slices.Concat([]string{"why", dir}, cell), slices.Concat([]string{"why", dir, "--json"}, cell), {"why", dir, "osprey.stock"},
		{"explain", "spread", dir}, {"run", dir, "--partial", "--json", "--log-format", "json"}}
	for _, c := range commands {
		said := call(before, c...)
		if leak := says([]byte(said)); leak != "" {
			t.Errorf("%v says …%s…", c[0], leak)
		}
		if c[0] != "explain" && !strings.Contains(said, "osprey") {
			t.Errorf("%v does not say the codename:\n%s", c, said)
		}
	}
	shown := filepath.Join(dir, "report")
	leaks, files := tellTale(t, shown)
	if files < 30 {
		t.Errorf("%d files looked at", files)
	}
	for _, l := range leaks {
		t.Errorf("report: %s", l)
	}

	editions, err := filepath.Glob(filepath.Join(dir, "archive-QZXsecret-Nine/editions/*/*"))
	if err != nil || len(editions) != 1 {
		t.Fatal(editions, err)
	}
	again := filepath.Join(t.TempDir(), "again")
	if leak := says([]byte(call(before, "report", editions[0], "--into", again))); leak != "" {
		t.Errorf("report EDITION says …%s…", leak)
	}
	sameFiles(t, shown, again)

	store := filepath.Join(dir, "archive-QZXsecret-Nine")
	frames := readAll(t, editions[0], "frames-qzxsecret_card.parquet")
	put(t, filepath.Join(editions[0], "frames-qzxsecret_card.parquet"), "no frames")
	for _, c := range [][]string{{"verify", store}, {"verify", store, "--json"}, {"history", store}, {"history", store, "--csv"},
		{"history", store, "--card", "qzxsecret_card", "--game", "fjord-qzxsecret_card"}, {"history", store, "--card", "osprey.stock", "--game", "fjord-qzxsecret_card", "--json"}} {
		if said := call(before, c...); says([]byte(said)) != "" || !strings.Contains(said, "osprey") {
			t.Errorf("%v says …%s… in\n%s", c, says([]byte(said)), said)
		}
	}
	put(t, filepath.Join(editions[0], "frames-qzxsecret_card.parquet"), frames)

	back := filepath.Join(t.TempDir(), "back")
	call(before, "history", store, "--into", back, "--charts", "svg")
	if leaks, _ := tellTale(t, back); len(leaks) > 0 || !strings.Contains(readAll(t, back, "history.html"), "osprey") {
		t.Errorf("looking back: %s", leaks)
	}

	packsAreDiscreet(t, editions[0], func(when string, args ...string) string {
		if when == "before" {
			return call(before, args...)
		}
		return call(after, args...)
	})

	// Nor does what looks at the archive alone.
	old := filepath.Join(t.TempDir(), "archive")
	if err := os.CopyFS(old, os.DirFS(filepath.Join(dir, "archive-QZXsecret-Nine"))); err != nil {
		t.Fatal(err)
	}
	aged, err := filepath.Glob(filepath.Join(old, "editions/*/*"))
	if err != nil || olden.Age(aged[0], olden.Higher) != nil {
		t.Fatal(aged, err)
	}
	for _, form := range []string{"--json", "--log-format=console"} {
		said := call(before, "recompute", old, form)
		if leak := says([]byte(said)); leak != "" || !strings.Contains(said, "osprey") {
			t.Errorf("recompute %s says …%s…\n%s", form, leak, said)
		}
		made, err := filepath.Glob(filepath.Join(old, "editions/*/*"))
		if err != nil || len(made) != 2 {
			t.Fatal(made, err)
		}
		for _, m := range made {
			if m != aged[0] {
				if err := os.RemoveAll(m); err != nil {
					t.Fatal(err)
				}
			}
		}
	}

	// After the embargo names are shown, and private words are not.
	call(after, "report", editions[0], "--into", again)
	if text := readAll(t, again, "index.html") + readAll(t, again, "script.md"); !strings.Contains(text, "QZXsecret Nine") || strings.Contains(text, "osprey") {
		t.Error("after the embargo the report does not show the card's name")
	}
	screens := call(after, "check", dir) + call(after, "run", dir, "--partial")
	for _, private := range []string{"qzxsecret-sn-0417", "qzxsecret-contact", "qzxsecret desk", "0100"} {
		for name, text := range map[string]string{"index.html": readAll(t, again, "index.html"), "script.md": readAll(t, again, "script.md"),
			"tables/bench.csv": readAll(t, again, "tables/bench.csv"), "tables/passes.csv": readAll(t, again, "tables/passes.csv"), "a screen": screens} {
			if strings.Contains(strings.ToLower(html.UnescapeString(text)), private) {
				t.Errorf("after the embargo %s says %s", name, private)
			}
		}
	}
	// Whoever goes back before it finds no drawing with the name left, though no chart is drawn this time.
	picture := filepath.Join(again, "charts", "summary-all-uhd-qzxsecret_card.wide.light.1920.png")
	put(t, picture, "a picture with the name")
	if said := call(before, "report", editions[0], "--into", again, "--charts", "none"); !strings.Contains(said, "removed") {
		t.Errorf("nothing is said of what was removed: %s", said)
	}
	if leaks, _ := tellTale(t, again); len(leaks) > 0 {
		t.Errorf("left over from after the embargo: %s", leaks)
	}

	put(t, filepath.Join(dir, "margin.hcl"), "statistics {\n  margin = \"9%\"\n}\n")
	call(before, "run", dir, "--partial", "--charts", "none")
	newer, err := filepath.Glob(filepath.Join(store, "editions/*/*"))
	newer = slices.DeleteFunc(newer, func(e string) bool { return e == editions[0] })
	if err != nil || len(newer) != 1 {
		t.Fatal(newer, err)
	}
	for _, form := range []string{"--charts=svg", "--json", "--erratum"} {
		if said := call(before, "changes", editions[0], newer[0], form); says([]byte(said)) != "" || !strings.Contains(said, "osprey") {
			t.Errorf("changes %s says …%s… in\n%s", form, says([]byte(said)), said)
		}
	}
}

func readAll(t *testing.T, dir, name string) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(name)))
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// sameFiles compares two folders byte for byte.
func sameFiles(t *testing.T, a, b string) {
	t.Helper()
	list := func(dir string) map[string]string {
		out := map[string]string{}
		err := fs.WalkDir(os.DirFS(dir), ".", func(name string, d fs.DirEntry, err error) error {
			if err == nil && !d.IsDir() {
				out[name] = readAll(t, dir, name)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		return out
	}
	if of, other := list(a), list(b); !maps.Equal(of, other) {
		for name, text := range of {
			if other[name] != text {
				t.Errorf("%s differs", name)
			}
		}
		t.Errorf("%d files against %d", len(of), len(other))
	}
}
