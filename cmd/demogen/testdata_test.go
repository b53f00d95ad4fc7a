package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/klauspost/compress/zstd"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"

	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/match"
)

var testdata = filepath.Join("..", "..", "testdata")

// unpack undoes either compression.
func unpack(t *testing.T, data []byte) []byte {
	t.Helper()
	var r io.Reader
	if bytes.HasPrefix(data, []byte{0x1f, 0x8b}) {
		z, err := gzip.NewReader(bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		r = z
	} else {
		z, err := zstd.NewReader(bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		defer z.Close()
		r = z
	}
	text, err := io.ReadAll(r)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// What lies in the repository is what the model gives: the text is compared, since compressors may improve.
func TestRepositoryHoldsWhatTheModelGives(t *testing.T) {
	if testing.Short() {
		t.Skip("works many soaks out, one after another")
	}
	const most = 4_500_000 // bytes of both reviews, which every clone carries
	size := 0
	for _, r := range []*review{demo(), unready()} {
		for _, p := range r.passes {
			data, err := os.ReadFile(filepath.Join(testdata, r.name, filepath.FromSlash(p.file)))
			if err != nil {
				t.Fatal(err)
			}
			size += len(data)
			want, err := p.form.text(p, r.frames(p))
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(unpack(t, data), want) {
				t.Errorf("%s: %s is not what the generator makes", r.name, p.file)
			}
		}
	}
	if size > most {
		t.Errorf("captures take %d bytes, more than %d", size, most)
	}
}

// Each form is read here by the few lines that suit it, and has to give the frame times back to the microsecond.
func TestFormsHoldTheFrames(t *testing.T) {
	d, u := demo(), unready()
	read := map[string]func(line string) (int64, bool){
		"frames": func(line string) (int64, bool) {
			return microseconds(line, ".", 3)
		},
		"replays": func(line string) (int64, bool) {
			us, ok := strings.CutPrefix(line, "bazaar\t")
			n, err := strconv.ParseInt(us, 10, 64)
			return n, ok && err == nil
		},
		"timestamps": func(line string) (int64, bool) {
			number, _, ok := strings.Cut(strings.TrimSuffix(line, "\r"), ";")
			if !ok {
				return 0, false
			}
			return microseconds(number, ",", 6)
		},
	}
	for _, c := range []struct {
		form   string
		review *review
		file   string
	}{
		{"frames", d, "captures/heron_x-tuned/quarry-plain_uhd_2.csv.zst"},
		{"replays", d, "captures/replays/skua-stock/bazaar_qhd_3.tsv.gz"},
		{"timestamps", u, "captures/tern_ref-stock/kelp_qhd_1.csv.zst"},
		{"timestamps", u, "captures/heron_x-tuned/fjord_uhd_1.csv.zst"},
	} {
		i := slices.IndexFunc(c.review.passes, func(p *pass) bool { return p.file == c.file })
		if i < 0 {
			t.Fatalf("%s: no pass", c.file)
		}
		p := c.review.passes[i]
		want := c.review.frames(p)
		text, err := p.form.text(p, want)
		if err != nil {
			t.Fatal(err)
		}
		text, _, err = transform.Bytes(unicode.BOMOverride(transform.Nop), text)
		if err != nil {
			t.Fatal(err)
		}
		var got []int64
		for line := range strings.SplitSeq(string(text), "\n") {
			if us, ok := read[c.form](line); ok {
				got = append(got, us)
			}
		}
		if c.form == "timestamps" {
			for i := range len(got) - 1 {
				got[i] = got[i+1] - got[i]
			}
			got = got[:len(got)-1]
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: %d frames read, %d written, or another time among them", c.file, len(got), len(want))
		}
	}
}

// microseconds reads a number with that many decimals.
func microseconds(number, point string, decimals int) (int64, bool) {
	whole, part, ok := strings.Cut(number, point)
	n, err := strconv.ParseInt(whole+part, 10, 64)
	return n, ok && err == nil && len(part) == decimals
}

// The plans and the generator are written apart; here they have to agree on every pass.
func TestPlansFindThePasses(t *testing.T) {
	for _, c := range []struct {
		folder                           string
		cells, used, failed, void, older int // older: superseded
		strays, outcomes                 int
	}{
		{folder: "demo", cells: 72, used: 198, outcomes: 2},
		{folder: "demo-unready", cells: 24, used: 61, failed: 1, void: 1, older: 1, strays: 1, outcomes: 1},
		{folder: "real", cells: 4, used: 12},
	} {
		t.Run(c.folder, func(t *testing.T) {
			p, found := load(t, filepath.Join(testdata, c.folder), filepath.Join(testdata, c.folder))
			if len(p.Cells) != c.cells {
				t.Errorf("%d cells, want %d", len(p.Cells), c.cells)
			}
			n := count(p, found)
			want := map[match.Status]int{match.Used: c.used, match.Failed: c.failed, match.Void: c.void, match.Superseded: c.older}
			for status, w := range want {
				if n[status] != w {
					t.Errorf("%d passes %s, want %d", n[status], status, w)
				}
			}
			if len(found.Strays) != c.strays || len(found.Outcomes) != c.outcomes {
				t.Errorf("%d strays and %d outcomes, want %d and %d", len(found.Strays), len(found.Outcomes), c.strays, c.outcomes)
			}
		})
	}
}

// The captures that the second plan for real passes reads lie outside the repository.
func TestPlanForAllRealPasses(t *testing.T) {
	captures := filepath.Join("..", "..", "..", "shared", "captures")
	if _, err := os.Stat(captures); err != nil {
		t.Skip("needs the real captures beside the repository, ../shared/captures")
	}
	p, found := load(t, filepath.Join(testdata, "real-all"), captures)
	// two cards, of each two scenes at two resolutions and one at one; three passes of each
	if n := count(p, found)[match.Used]; len(p.Cells) != 10 || n != 30 {
		t.Errorf("%d cells and %d passes, want 10 and 30", len(p.Cells), n)
	}
}

// load reads a plan, as the demos' README says to, in the week before filming, and finds its passes.
func load(t *testing.T, folder, captures string) (*plan.Plan, *match.Found) {
	t.Helper()
	p, findings, err := plan.Load([]string{folder}, time.Date(2027, 2, 26, 9, 0, 0, 0, time.UTC))
	if err != nil {
		t.Fatal(err)
	}
	root, err := os.OpenRoot(captures)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	found, more, err := match.Find(context.Background(), p, root)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range slices.Concat(findings, more) {
		t.Errorf("%s: %s: %s", f.Place, f.Summary, f.Detail)
	}
	return p, found
}

// count says how many passes count for what.
func count(p *plan.Plan, found *match.Found) map[match.Status]int {
	repeats := map[plan.Key]int{}
	for _, c := range p.Cells {
		repeats[c.Key] = c.Repeats
	}
	n := map[match.Status]int{}
	for _, pass := range match.Number(found.Files, nil, func(k plan.Key) int { return repeats[k] }) {
		n[pass.Status]++
	}
	return n
}
