package discreet

import (
	"errors"
	"fmt"
	"io/fs"
	"reflect"
	"regexp"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"github.com/rigslate/rigslate/plan/finding"
)

var (
	now   = time.Date(2027, 3, 1, 12, 0, 0, 0, time.UTC)
	later = now.Add(72 * time.Hour)
)

func terms() *Terms {
	return &Terms{
		Cards: []Card{
			{Label: "tern_ref", Names: []string{"Tern 7 reference"}, Tells: []Tell{{"maker", "marram"}, {"driver", "612.4"}}},
			{Label: "heron_x", Codename: "osprey", Until: later, Names: []string{"Heron X \"partner\" card", "Heron X", "Reiher Größe"},
				Tells: []Tell{{"maker", "marram"}, {"driver", "27.2"}, {"origin", "lent by maker"}}},
			{Label: "heron", Codename: "merlin", Until: later.Add(time.Hour), Names: []string{"Heron"}, Tells: []Tell{{"driver", "beta 9"}}},
		},
		Private: []string{"SN-0417", "+49 555 0100", "ab", "12"},
		Keep:    []string{"heron_fps"},
	}
}

// What is expected is what a reader would: the word as a whole, however it is written, and nothing else.
func TestString(t *testing.T) {
	v := terms().At(now)
	for text, want := range map[string]string{
		"heron_x":                         "osprey",
		"captures/heron_x-stock/a_1.csv":  "captures/osprey-stock/a_1.csv",
		"card.heron_x·stock":              "card.osprey·stock",
		"The HERON-X beats the heron.":    "The osprey beats the merlin.",
		"HeronX":                          "osprey",
		"heronry, sheron_x and heron_xy":  "heronry, sheron_x and merlin_xy",
		`Heron X "partner" card is here`:  "osprey is here",
		`is "Heron X \"partner\" card"`:   `is "osprey"`,
		"reiher grösse, REIHER GRÖßE":     "reiher grösse, osprey",
		"Tern 7 reference by marram":      "Tern 7 reference by marram",
		"heron_fps of heron":              "heron_fps of merlin",
		"27.2 fps":                        "27.2 fps",
		"27.2":                            "driver of osprey",
		`driver 27.2, was "27.2"`:         `driver driver of osprey, was "driver of osprey"`,
		"driver 612.4":                    "driver 612.4",
		"on beta 9 and beta 91":           "on driver of merlin and beta 91",
		"lent by maker, SN 0417":          "origin of osprey, withheld",
		"call +49 555 0100; ab and 12":    "call withheld; ab and 12",
		"":                                "",
		"\xff heron_x":                    "\ufffd osprey",
		"nothing to hide · 12 °C":         "nothing to hide · 12 °C",
		strings.Repeat("heron ", 3) + "x": "merlin merlin osprey",
	} {
		if got := v.String(text); got != want {
			t.Errorf("%q becomes %q, want %q", text, got, want)
		}
	}
	// A name that holds a withheld one is not spared, though it is of a card that is open by then.
	if got := terms().At(later).String("heron_x and heron, SN-0417; osprey"); got != "merlin_x and merlin, withheld; osprey" {
		t.Errorf("after one embargo and before the other: %q", got)
	}
	if got := terms().At(later.Add(-time.Nanosecond)).String("heron_x"); got != "osprey" {
		t.Errorf("at the last moment before the embargo: %q", got)
	}
	if (*Terms)(nil).At(now) != nil || (&Terms{Cards: []Card{{Label: "a"}}}).At(now) != nil {
		t.Error("a veil of nothing")
	}
	if got := (*Veil)(nil).String("heron_x"); got != "heron_x" {
		t.Errorf("no veil makes %q", got)
	}
}

type kind string

// everything has a string in each way in which a type can have one.
type everything struct {
	Text    string
	Kind    kind
	Pointer *string
	List    []string
	Array   [2]string
	Map     map[string]map[kind][]string
	Any     any
	Err     error
	Self    *everything
	Twice   *everything
	When    time.Time
	Of      func() string
	Numbers []float64
	hidden  struct{ text *[]kind }
	finding.Place
}

func TestCopy(t *testing.T) {
	name := "heron_x"
	shared := &everything{Text: name}
	x := everything{Text: name, Kind: kind(name), Pointer: &name, List: []string{name, "a"}, Array: [2]string{name}, Any: []any{name, 7, map[string]any{name: name}},
		Map: map[string]map[kind][]string{name: {kind(name): {name}}}, Err: fmt.Errorf("open %s: %w", name, fs.ErrNotExist), Self: shared, Twice: shared,
		When: now, Of: func() string { return "own" }, Numbers: []float64{1}, Place: finding.Place{File: name, Source: "  card.heron_x.stock = heron_x", Column: 24, EndColumn: 31}}
	shared.Self = shared
	x.hidden.text = &[]kind{kind(name)}

	y := Copy(terms().At(now), &x)
	if x.Text != name || *x.Pointer != name || x.List[0] != name || (*x.hidden.text)[0] != kind(name) || x.Map[name] == nil || shared.Text != name {
		t.Error("what was copied is no longer what it was")
	}
	const code = "osprey"
	if y.Text != code || y.Kind != code || *y.Pointer != code || y.List[0] != code || y.Array[0] != code || y.Map[code][code][0] != code || (*y.hidden.text)[0] != code ||
		len(y.Map) != 1 || y.File != code {
		t.Errorf("%+v", y)
	}
	if list := y.Any.([]any); list[0] != code || list[1] != 7 || list[2].(map[string]any)[code] != code {
		t.Errorf("%v", y.Any)
	}
	if !errors.Is(y.Err, fs.ErrNotExist) || y.Err.Error() != "open osprey: file does not exist" {
		t.Errorf("%v", y.Err)
	}
	if y.Self != y.Twice || y.Self.Self != y.Self || y.Self.Text != code {
		t.Error("what is pointed to twice is no longer one")
	}
	if y.When != now || y.Of() != "own" || &y.Numbers[0] != &x.Numbers[0] {
		t.Error("what holds no text was not handed on")
	}
	// "  card.osprey.stock = osprey": the second name begins one column earlier, since a name before it is one shorter.
	if y.Column != 23 || y.EndColumn != 29 || string([]rune(y.Source)[y.Column-1:y.EndColumn-1]) != code {
		t.Errorf("columns %d to %d of %q", y.Column, y.EndColumn, y.Source)
	}
	if Copy(nil, &x) != &x {
		t.Error("no veil copies")
	}
	if n := reflect.TypeFor[everything]().NumField(); n != 15 {
		t.Errorf("%d fields, and 15 looked at", n)
	}
}

// Whatever text it is, no withheld name is left in it as a word of its own, and there is nothing more to rewrite.
func TestNothingIsLeft(t *testing.T) {
	v := terms().At(now)
	names := regexp.MustCompile(`(?i)(^|[^\pL\pN])(heron([ _-]x)?|reiher[ _-]größe|lent[ _-]by[ _-]maker|sn[ _-]0417)($|[^\pL\pN])`)
	rapid.Check(t, func(t *rapid.T) {
		parts := rapid.SliceOf(rapid.SampledFrom([]string{"heron", "HERON", "_x", "-X", "heron_x", "HeronX", "Reiher Größe", "lent by", " maker", "SN-", "0417", "sn 0417", " ", ".",
			"_", "\"", "é", "tern_ref", "heron_fps", "27.2", "driver ", "a", "9", "\u00a0", "·"})).Draw(t, "parts")
		text := strings.Join(parts, "")
		said := v.String(text)
		if at := names.FindString(strings.NewReplacer("heron_fps", "fps", "\u00a0", " ").Replace(said)); at != "" {
			t.Fatalf("%q becomes %q, which says %q", text, said, at)
		}
		if again := v.String(said); again != said {
			t.Fatalf("%q becomes %q and then %q", text, said, again)
		}
	})
}
