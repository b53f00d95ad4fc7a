package chart

import (
	"bytes"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/gomonobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"

	"golang.org/x/image/font"
	"pgregory.net/rapid"
)

// Widths are those of the font, as golang.org/x/image's own text layout adds them up; the figures of the built-in font have one width, so
// that columns of numbers stand.
func TestWidthsAreTheFonts(t *testing.T) {
	parsed, err := opentype.Parse(goregular.TTF)
	if err != nil {
		t.Fatal(err)
	}
	face, err := opentype.NewFace(parsed, &opentype.FaceOptions{Size: 2048, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		t.Fatal(err)
	}
	fonts := Look{}.fonts()
	for _, s := range []string{"Heron 7 X", "frames per second, more is better", "+7.9 % [6.6, 9.2]", "°C · × − …", ""} {
		var want fixed.Int26_6
		for _, r := range s {
			a, ok := face.GlyphAdvance(r)
			if !ok {
				t.Fatalf("the font lacks %q", r)
			}
			want += a
		}
		if got := fonts.Width(s, false) * 2048; math.Abs(got-float64(want)/64) > 1 {
			t.Errorf("%q is %v wide, the font says %v", s, got, float64(want)/64)
		}
	}
	for _, bold := range []bool{false, true} {
		for _, d := range "0123456789" {
			if fonts.Width(string(d), bold) != fonts.Width("0", bold) {
				t.Errorf("figure %c has a width of its own", d)
			}
		}
	}
	if _, err := ParseFonts("Kelp", []byte("no font"), nil); err == nil || !strings.Contains(err.Error(), "Kelp") {
		t.Errorf("a file that is no font: %v", err)
	}
}

// The name of a typeface is the one in its file: that the Go fonts' is "Go Mono" is said at go.dev/blog/go-fonts. What could end a style in a name is left out.
func TestFamily(t *testing.T) {
	f, err := ParseFonts("", gomono.TTF, gomonobold.TTF)
	if err != nil || f.family != "Go Mono" {
		t.Errorf("family %q (%v), want Go Mono", f.family, err)
	}
	f, err = ParseFonts(`Kelp';}</style><script>`, gomono.TTF, gomono.TTF)
	if err != nil || f.family != "Kelpstylescript" {
		t.Errorf("family %q (%v)", f.family, err)
	}
}

// What a typeface lacks is drawn with the built-in one, at its width, and is no empty box. few.ttf has some figures and no letters (its source file
// beside it in golang.org/x/image); the Go fonts have Greek and no Hebrew (WGL4, says go.dev/blog/go-fonts).
func TestSpareFonts(t *testing.T) {
	few, err := os.ReadFile("testdata/few.ttf")
	if err != nil {
		t.Fatal(err)
	}
	f, err := ParseFonts("", few, few)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := f.Width("aΩ", false), (Look{}).fonts().Width("aΩ", false); got != want {
		t.Errorf("%v wide, the font that stands in is %v", got, want)
	}
	if f.Width("0", false) == (Look{}).fonts().Width("0", false) {
		t.Error("0 is the built-in one")
	}
	if lacks, borrows := string(f.Lacks("0aΩש")), string(f.Borrows("0aΩש")); lacks != "ש" || borrows != "aΩ" {
		t.Errorf("lacks %q, borrows %q", lacks, borrows)
	}
	var own, all bytes.Buffer
	chart := years(2)
	if err := errors.Join(chart.Picture(Wide, Look{Fonts: f}).WritePNG(&own, Light, 480), chart.Picture(Wide, Look{}).WritePNG(&all, Light, 480)); err != nil {
		t.Fatal(err)
	}
	if bytes.Equal(own.Bytes(), all.Bytes()) {
		t.Error("the font changes nothing")
	}
}

// A damaged font is an error or is drawn somehow; it ends nothing. Names that join go through its tables, too.
func TestDamagedFonts(t *testing.T) {
	whole := [][]byte{gomono.TTF}
	if b, err := os.ReadFile("/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf"); err == nil { // has more tables
		whole = append(whole, b)
	}
	drawn := 0
	for seed := range uint64(200) {
		r := rand.New(rand.NewPCG(seed, 1))
		b := bytes.Clone(whole[int(seed)%len(whole)])
		for range 1 + r.IntN(60) {
			at := r.IntN(len(b))
			if r.IntN(2) == 0 {
				at = r.IntN(3000) // where the tables are
			}
			b[at] = byte(r.Uint32())
		}
		f, err := ParseFonts("", b, b)
		if err != nil {
			continue
		}
		drawn++
		if w := f.Width("Heron 7 é שלום سلام", false); math.IsNaN(w) {
			t.Errorf("seed %d: a text is as wide as no number", seed)
		}
		_ = years(2).Picture(Wide, Look{Fonts: f}).WritePNG(io.Discard, Light, 96) // an error is right
	}
	if drawn < 10 {
		t.Errorf("only %d fonts could be read: that tests little", drawn)
	}
}

func TestLacks(t *testing.T) {
	fonts := Look{}.fonts()
	if got := fonts.Lacks("Heron 7 X · 1 299 € − °C"); len(got) != 0 {
		t.Errorf("the built-in font lacks %q", got)
	}
	if got := string(fonts.Lacks("a😀b😀卡")); got != "😀卡" {
		t.Errorf("lacks %q", got)
	}
}

// Cleaned text is one line that XML may carry and that cannot turn its neighbours' direction; plain text stays as it is.
func TestClean(t *testing.T) {
	for in, want := range map[string]string{"Heron 7 X": "Heron 7 X", "a\nb\t c": "a b c", "\u202egnp.exe": "gnp.exe", "\xff": "\ufffd", "שלום": "שלום", " \r\n ": "",
		"<b>": "<b>", "1\u202f299": "1\u00a0299", "a\x00b\u0085c": "a b c"} {
		if got := clean(in); got != want {
			t.Errorf("%q becomes %q, not %q", in, got, want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		got := clean(rapid.String().Draw(t, "text"))
		if clean(got) != got || strings.ContainsAny(got, "\n\r\t\x00\u2028\u202e\u2066") {
			t.Fatalf("%q", got)
		}
	})
}

// A shortened text fits, keeps its beginning and its end, and says that it is shortened; a sentence is cut at a point between its parts.
func TestShortened(t *testing.T) {
	fonts := Look{}.fonts()
	rapid.Check(t, func(t *rapid.T) {
		s, ems := clean(anyName().Draw(t, "text")), rapid.Float64Range(1, 20).Draw(t, "ems")
		got := fonts.fit(s, false, ems)
		if fonts.Width(got, false) > ems+1e-5 {
			t.Fatalf("%q is %v wide, of %v", got, fonts.Width(got, false), ems)
		}
		if got != s && !strings.Contains(got, "…") {
			t.Fatalf("%q became %q", s, got)
		}
	})
	if got := fonts.fit("Gannet 12 Duo Long Quiet Board Edition", false, 12); !strings.HasPrefix(got, "Gannet") || !strings.HasSuffix(got, "Edition") {
		t.Errorf("%q", got)
	}
	if got := fonts.cut("3840 × 2160 · highest preset · rays high", false, 16); got != "3840 × 2160 · highest preset" {
		t.Errorf("%q", got)
	}
}

// A line never ends between a number and its unit (ISO 80000-1, 7.1.4: a space stands between them, and they are one expression; from memory).
func TestNumbersKeepTheirUnits(t *testing.T) {
	f := Look{}.fonts()
	for _, l := range f.wrap("all at 42 dB at 0.5 m, 30 min", false, f.Width("all at 42 dB at 0.5", false), 5) {
		if last := l[len(l)-1]; last >= '0' && last <= '9' {
			t.Errorf("a line ends with %q", l)
		}
	}
}

// Shortened names stay apart as long as anything in their room tells them apart, and the mode is kept of a card that has several.
func TestShortenedNamesStayApart(t *testing.T) {
	f := Look{}.fonts()
	rows := []Row{{Name: "Gannet twin-fan white edition 16 GB, first"}, {Name: "Gannet twin-fan white edition 16 GB, second"}, {Name: "Gannet long board", Mode: "stock"},
		{Name: "Gannet long board", Mode: "quiet"}, {Name: "Skua"}}
	for _, ems := range []float64{8, 10, 14, 40} {
		seen := map[string]bool{}
		for _, name := range f.namesOf(rows, false, ems) {
			if f.Width(name, false) > ems+1e-3 {
				t.Errorf("%q is wider than %v ems", name, ems)
			}
			seen[name] = true
		}
		if len(seen) != len(rows) {
			t.Errorf("in %v ems: %v", ems, seen)
		}
	}
}

// A state is said without its reason where no word of the reason would be left.
func TestReasonsAreShortened(t *testing.T) {
	f := Look{}.fonts()
	const s = "does not run: crash: closes while the scene loads"
	for want, room := range map[string]string{"does not run": "does not run: cra", s: s, "does not run: crash: closes while …": "does not run: crash: closes while the sc"} {
		if got := f.reason(s, f.Width(room, false)); got != want {
			t.Errorf("in the room of %q: %q, want %q", room, got, want)
		}
	}
}
