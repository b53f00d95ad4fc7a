package plan

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
)

const plainPlan = `review "r" { baseline = card.a }
card "a" { vendor = "marram" }
card "b" { vendor = "marram" }
game "fjord" {
  drive = "replay"
  keep  = "all"
}
resolution "uhd" { size = "3840x2160" }
matrix {}
files "f" {
  path       = "{card}_{repeat}.csv"
  frame_time = { column = "ms", unit = "ms" }
}
`

func TestLook(t *testing.T) {
	look := load(t, "../testdata/plan/valid/choices").Look
	same(t, "fonts", []string{"fonts/Plain.ttf", "fonts/Bold.OTF"}, look.Fonts)
	same(t, "accent, footer", []string{"#1c7a4d", "The Quay"}, []string{look.Accent, look.Footer})
	if look.Size != 115 {
		t.Errorf("size is %v, want 115", look.Size)
	}
	if p := load(t, write(t, map[string]string{"p.hcl": plainPlan})); p.Look != nil {
		t.Errorf("a plan without a look has %v", p.Look)
	}
	if p := load(t, write(t, map[string]string{"p.hcl": plainPlan + "look {}\n"})); p.Look.Size != 100 {
		t.Errorf("a look of nothing has size %v, want 100", p.Look.Size)
	}
}

// The look is part of the resolved plan as far as it is written, so that another look is another edition; a plan without one says nothing of it.
func TestJSONOfLook(t *testing.T) {
	got := func(look string) []byte {
		return load(t, write(t, map[string]string{"p.hcl": plainPlan + look})).JSON
	}
	if bytes.Contains(got(""), []byte("look")) {
		t.Error("a plan without a look names it")
	}
	want := got("look {\n accent = \"#1c7a4d\"\n fonts = [\"a.ttf\"]\n size = \"115%\"\n}\n")
	for _, by := range []string{"look {\n accent = \"#1C7A4D\"\n fonts = \"a.ttf\"\n size = \"115.0%\"\n}\n", "look {\n size = \"115%\"\n fonts = [\"./a.ttf\"]\n accent = \"#1c7a4d\"\n}\n"} {
		if !bytes.Equal(got(by), want) {
			t.Errorf("%s: the resolved plan differs: %s", by, got(by))
		}
	}
	var whole struct {
		Look struct {
			Accent, Size string
			Fonts        []string
		}
	}
	if err := json.Unmarshal(want, &whole); err != nil || whole.Look.Accent != "#1c7a4d" || whole.Look.Size != "115%" || strings.Join(whole.Look.Fonts, " ") != "a.ttf" {
		t.Errorf("look is %+v (%v)", whole.Look, err)
	}
	if bytes.Equal(got("look {\n fonts = [\"a.ttf\", \"b.ttf\"]\n}\n"), got("look {\n fonts = [\"b.ttf\", \"a.ttf\"]\n}\n")) {
		t.Error("which font is the bold one does not show")
	}
}
