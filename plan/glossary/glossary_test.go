package glossary

import (
	"slices"
	"testing"
)

var sample = []Entry{
	{Name: "low1_quantile_fps", Title: "1 % low, quantile", Also: []string{"1 % low"}},
	{Name: "low1_tail_mean_fps", Title: "1 % low, tail mean", Also: []string{"1 % low"}},
	{Name: "mean_fps", Title: "mean", Also: []string{"average"}},
	{Name: "cell_mean", Also: []string{"mean"}},
	{Name: "p"},
	{Name: "limited_elsewhere"},
}

func TestFindIsLoose(t *testing.T) {
	for _, c := range []struct {
		name string
		want []string
	}{
		{"mean_fps", []string{"mean_fps"}},
		{"Mean FPS", []string{"mean_fps"}},
		{"mean-fps", []string{"mean_fps"}},
		{"Limited  Elsewhere", []string{"limited_elsewhere"}},
		{"1% LOW", []string{"low1_quantile_fps", "low1_tail_mean_fps"}},
		{"1 % low, tail-mean", []string{"low1_tail_mean_fps"}},
		{"mean", []string{"mean_fps"}}, // a title goes before other names
		{"average", []string{"mean_fps"}},
		{"P", []string{"p"}},
		{"", nil}, {" - ", nil}, {"median", nil},
	} {
		var got []string
		for _, e := range Find(sample, c.name) {
			got = append(got, e.Name)
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%q finds %v, want %v", c.name, got, c.want)
		}
	}
}

func TestNearest(t *testing.T) {
	for _, c := range []struct{ name, want string }{
		{"mean_fsp", "mean_fps"}, {"limited elswhere", "limited_elsewhere"}, {"avrage", "average"},
		{"xyz", ""}, {"q", ""}, // one letter off of one letter is no likeness
		{"frobnicate", ""},
	} {
		if got := Nearest(sample, c.name); got != c.want {
			t.Errorf("%q is near %q, want %q", c.name, got, c.want)
		}
	}
}

func TestLacksNamesWhatIsMissing(t *testing.T) {
	whole := Entry{Name: "a", Group: PassFigure, Means: "b", Say: "c", Formula: "d", Unit: "e", Better: "f", Averaged: "g", Source: "h"}
	if got := whole.Lacks(); got != nil {
		t.Errorf("a whole entry lacks %v", got)
	}
	whole.Better, whole.Source = "", " "
	if got := whole.Lacks(); !slices.Equal(got, []string{"better direction", "source"}) {
		t.Errorf("lacks %v", got)
	}
	whole.Group = Flag
	if got := whole.Lacks(); !slices.Equal(got, []string{"source"}) {
		t.Errorf("a word lacks %v; it needs no better direction", got)
	}
}

func TestGist(t *testing.T) {
	if got := (Entry{Means: "Half of 1.5 s. The rest."}).Gist(); got != "Half of 1.5 s" {
		t.Errorf("gist %q", got)
	}
}
