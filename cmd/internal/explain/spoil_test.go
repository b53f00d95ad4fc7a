package explain

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/klauspost/compress/zstd"
	"github.com/rs/zerolog"

	"github.com/rigslate/rigslate/cmd/internal/review"
)

// stage is a review that examples are taken from, and how to call it.
type stage struct {
	name string // "" for the demo itself
	*review.Review
}

// bench is a copy of a demo review that may be spoiled.
type bench struct {
	*testing.T
	dir string
}

func copyOf(t *testing.T, name string) bench {
	t.Helper()
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS(filepath.Join("../../../testdata", name))); err != nil {
		t.Fatal(err)
	}
	return bench{t, dir}
}

// review works the copy out. Captures that cannot be used are what some are spoiled for.
func (b bench) review() *review.Review {
	b.Helper()
	r, err := review.Do(context.Background(), review.Options{Plans: []string{b.dir}, Now: time.Date(2027, 2, 26, 9, 0, 0, 0, time.UTC),
		Workers: 2, Record: true, Tool: "test", Log: zerolog.Nop()})
	if err != nil && !errors.Is(err, review.ErrInput) || r == nil || !r.Finished() {
		b.Fatalf("%v: %v", err, r.Findings)
	}
	return r
}

func (b bench) read(name string) string {
	b.Helper()
	text, err := os.ReadFile(filepath.Join(b.dir, name))
	if err != nil {
		b.Fatal(err)
	}
	return string(text)
}

func (b bench) write(name, text string) {
	b.Helper()
	name = filepath.Join(b.dir, name)
	if err := errors.Join(os.MkdirAll(filepath.Dir(name), 0o777), os.WriteFile(name, []byte(text), 0o666)); err != nil {
		b.Fatal(err)
	}
}

// edit replaces text in a file, which must hold it.
func (b bench) edit(name string, pairs ...string) {
	b.Helper()
	text := b.read(name)
	for i := 0; i < len(pairs); i += 2 {
		if !strings.Contains(text, pairs[i]) {
			b.Fatalf("%s does not hold %q", name, pairs[i])
		}
		text = strings.ReplaceAll(text, pairs[i], pairs[i+1])
	}
	b.write(name, text)
}

// frames reads the frame times in ms of a capture of the demo, as an outsider would: by the text alone.
func (b bench) frames(name string) (ms []float64) {
	b.Helper()
	if strings.HasSuffix(name, ".gz") {
		for _, line := range strings.Split(b.unzipped(name), "\n")[1:] {
			if fields := strings.Split(line, ","); len(fields) > 2 { // frame, end, frame time …
				x, err := strconv.ParseFloat(fields[2], 64)
				if err != nil {
					b.Fatal(err)
				}
				ms = append(ms, x)
			}
		}
		return ms
	}
	raw, err := zstd.NewReader(strings.NewReader(b.read(name)))
	if err != nil {
		b.Fatal(err)
	}
	defer raw.Close()
	for lines := bufio.NewScanner(raw); lines.Scan(); {
		if x, err := strconv.ParseFloat(lines.Text(), 64); err == nil {
			ms = append(ms, x)
		}
	}
	return ms
}

func (b bench) unzipped(name string) string {
	b.Helper()
	z, err := gzip.NewReader(strings.NewReader(b.read(name)))
	if err != nil {
		b.Fatal(err)
	}
	text, err := io.ReadAll(z)
	if err != nil {
		b.Fatal(err)
	}
	return string(text)
}

// begunCold is of real passes, of which one is made to begin at 34 °C.
func begunCold(t *testing.T) *review.Review {
	b := copyOf(t, "real")
	const name = "captures/osprey.reactor.2560x1440.r2.sensors.csv.gz"
	text := b.unzipped(name)
	at := strings.Index(text, "\n") + 1
	first := strings.Split(text[at:], ",")
	first[1] = "34"
	b.write(name, text[:at]+strings.Join(first, ",")) // a reader tells by the content that it is not compressed
	return b.review()
}

// put writes frame times in the demo's form, with a comment that keeps files of the same frames apart. A reader tells by the content
// that they are not compressed.
func (b bench) put(name string, ms []float64) {
	var text bytes.Buffer
	fmt.Fprintf(&text, "# %s\nframe_ms\n", name)
	for _, x := range ms {
		fmt.Fprintf(&text, "%.3f\n", x)
	}
	b.write(name, text.String())
}

// stretch multiplies frame times by a factor that may depend on the second of the capture.
func (b bench) stretch(name string, by func(s float64) float64) {
	var at float64
	ms := b.frames(name)
	for i, x := range ms {
		ms[i] = x * by(at/1000)
		at += x
	}
	b.put(name, ms)
}

func always(factor float64) func(float64) float64 { return func(float64) float64 { return factor } }

func capture(mode, cell string) string { return "captures/" + mode + "/" + cell + ".csv.zst" }

// spoiled is the demo with a fault of every kind that the demo reviews do not have of themselves.
func spoiled(t *testing.T) *review.Review {
	b := copyOf(t, "demo")
	b.stretch(capture("heron_x-stock", "kelp-plain_uhd_2"), func(s float64) float64 { return 0.97 + 0.06*s/33 })
	b.stretch(capture("heron_x-stock", "fjord-plain_uhd_2"), func(s float64) float64 {
		if s > 20 && s < 23 {
			return 1.4
		}
		return 1
	})
	b.put(capture("gannet-stock", "fjord-plain_qhd_2"), b.frames(capture("gannet-stock", "fjord-plain_qhd_2"))[:2000])
	b.write(capture("gannet-stock", "quarry-plain_qhd_1"), "no table here\n")
	b.write(capture("gannet-stock", "fjord-plain_uhd_2"), b.read(capture("gannet-stock", "fjord-plain_uhd_1")))
	for k := 1; k <= 3; k++ {
		b.stretch(capture("gannet-stock", fmt.Sprintf("kelp-plain_uhd_%d", k)), always(150))
		b.stretch(capture("skua-stock", fmt.Sprintf("fjord-plain_qhd_%d", k)), func(s float64) float64 {
			return 1 + 0.2*math.Sin(2*math.Pi*(s/30+float64(k)/3))
		})
		b.put(capture("skua-stock", fmt.Sprintf("quarry-plain_qhd_%d", k)), ceilinged(61.3, 50, 34))
	}
	b.stretch(capture("tern_ref-stock", "fjord-plain_qhd_5"), always(1.03)) // the control, mounted anew
	b.put(capture("tern_ref-stock", "orrery-plain_qhd_1"), []float64{16.6, 16.7, 1_200_000, 16.6})
	b.edit("games.hcl", "capped = true", "", "drive  = \"built-in\"\n  keep   = let.kept", "drive  = \"built-in\"\n  keep   = \"all\"")
	b.edit("bench.csv", "crash,closes while the scene loads", "unsupported,closes while the scene loads")
	b.otherSource()
	b.otherBuild("captures/gannet-stock/fjord-rays_up_qhd_")
	b.review() // first sights
	b.edit("cards.hcl", "power_pct = 10", "power_pct = 12", `firmware = "quiet"`, `firmware = "silent"`)
	b.edit("bench.csv", "kelp,plain,qhd,1,l055,s2", "kelp,plain,qhd,1,l955,s92")
	return b.review()
}

// claimed is the demo with claims that it does not bear out, or has nothing to say to.
func claimed(t *testing.T) *review.Review {
	b := copyOf(t, "demo")
	b.write("claims.hcl", `
claim "twice_as_far" {
  says    = "ten percent faster at 2160p"
  metric  = "mean_fps"
  of      = card.heron_x.stock
  against = card.tern_ref.stock
  where   = { resolutions = [resolution.uhd] }
  expect  = { at_least = 10 }
}
claim "where_it_does_not_run" {
  says    = "as fast as the reference in Kelp"
  metric  = "mean_fps"
  of      = card.skua.stock
  against = card.tern_ref.stock
  where   = { games = [game.kelp] }
  expect  = { same = true }
}
claim "slow_frames" {
  says    = "its slow frames come about five percent faster"
  metric  = "low1_quantile_fps"
  of      = card.heron_x.stock
  against = card.tern_ref.stock
  where   = { games = [game.fjord.plain], resolutions = [resolution.qhd] }
  expect  = { percent = 5, within = 3 }
}
`)
	return b.review()
}

// slowed is the demo with one pass a little slow: no more than a plan lets pass, and more than the review's scatter explains.
func slowed(t *testing.T) *review.Review {
	b := copyOf(t, "demo")
	b.stretch(capture("tern_ref-stock", "quarry-plain_uhd_2"), always(1.025))
	return b.review()
}

// ceilinged is a capture whose even seconds are held at one rate and whose odd ones are at another.
func ceilinged(top, low float64, seconds int) (ms []float64) {
	for s := range seconds {
		rate := top
		if s%3 == 0 {
			rate = low + float64(s)/4
		}
		for range int(rate) {
			ms = append(ms, 1000/float64(int(rate)))
		}
	}
	return ms
}

// otherSource gives skua's orrery in another form, taken at another point, with timestamps that say that frames were lost.
func (b bench) otherSource() {
	b.edit("review.hcl", `files "replays"`, `files "both" {
  path        = "captures/both/{card}-{mode}/{game}-{variant}_{resolution}_{repeat}.csv"
  log         = "bench.csv"
  text        = { delimiter = ",", decimal = ".", encoding = "auto" }
  frame_time  = { column = "frame_ms", unit = "ms" }
  timestamp   = { column = "end_s", unit = "s" }
  measured_at = "display"
}

files "replays"`)
	for _, cell := range []string{"orrery-plain_qhd_1", "orrery-plain_qhd_2", "orrery-plain_qhd_3", "orrery-plain_uhd_1", "orrery-plain_uhd_2", "orrery-plain_uhd_3"} {
		var text bytes.Buffer
		text.WriteString("frame_ms,end_s\n")
		var at float64
		old := capture("skua-stock", cell)
		for i, x := range b.frames(old) {
			at += x
			if i == 600 && cell == "orrery-plain_uhd_1" {
				at += 2000
			}
			fmt.Fprintf(&text, "%.3f,%.6f\n", x, at/1000)
		}
		moved := "captures/both/skua-stock/" + cell + ".csv"
		b.write(moved, text.String())
		if err := os.Remove(filepath.Join(b.dir, old)); err != nil {
			b.Fatal(err)
		}
		b.edit("bench.csv", old, moved)
	}
}

// otherBuild adds a column of builds to the bench log, which states another one for the files that begin so.
func (b bench) otherBuild(files string) {
	lines := strings.Split(strings.TrimSpace(b.read("bench.csv")), "\n")
	for i, line := range lines {
		switch {
		case i == 0:
			lines[i] += ",build"
		case strings.HasPrefix(line, files):
			lines[i] += ",1.9.0"
		default:
			lines[i] += ","
		}
	}
	b.write("bench.csv", strings.Join(lines, "\n")+"\n")
}

// small is the demo cut down to two cards and two games: too few cells to borrow a spread from.
func small(t *testing.T) *review.Review {
	b := copyOf(t, "demo")
	text := b.read("review.hcl")
	before, rest, _ := strings.Cut(text, "matrix {")
	_, files, _ := strings.Cut(rest, "files \"frame_times\"")
	files, _, _ = strings.Cut(files, "vouch {")
	b.write("review.hcl", before+`matrix {
  cards       = [card.tern_ref.stock, card.heron_x.stock]
  games       = [game.fjord.plain, game.orrery]
  resolutions = [resolution.uhd]
  looks       = [3, 5]
}

statistics {
  session_spread = "0%"
}

files "frame_times"`+files)
	b.edit("bench.csv", "heron_x,stock,fjord,plain,uhd,2,l041", "heron_x,stock,fjord,plain,uhd,2,l040", "heron_x,stock,fjord,plain,uhd,3,l042", "heron_x,stock,fjord,plain,uhd,3,l040")
	for _, mode := range []string{"tern_ref-stock", "heron_x-stock"} {
		for k := 1; k <= 3; k++ {
			ms := make([]float64, 2100)
			for i := range ms {
				ms[i] = 16
			}
			b.put(capture(mode, fmt.Sprintf("orrery-plain_uhd_%d", k)), ms)
		}
	}
	return b.review()
}
