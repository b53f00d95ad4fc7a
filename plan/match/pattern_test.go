package match

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/rigslate/rigslate/plan"
)

func TestWrongPatterns(t *testing.T) {
	for path, want := range map[string]string{
		"captures/{crad}.csv":                  `There is no placeholder {crad}. Did you mean {card}?`,
		"captures/{frobnicate}":                `There is no placeholder {frobnicate}. Placeholders are {review} {card} {mode} {game} {variant} {resolution} {size} {repeat} {time} {any}.`,
		"captures/{card":                       `There is a lone brace at "{card". Write placeholders as {card}; braces have no other meaning in a path.`,
		"captures/card}.csv":                   `There is a lone brace at "}.csv". Write placeholders as {card}; braces have no other meaning in a path.`,
		"../{card}.csv":                        `"../{card}.csv" leaves the captures' folder. Write it without '..'; --captures says which folder that is.`,
		"a/../../{card}.csv":                   `"a/../../{card}.csv" leaves the captures' folder. Write it without '..'; --captures says which folder that is.`,
		"/captures/{card}.csv":                 `"/captures/{card}.csv" is an absolute path. Paths are relative to the captures' folder; --captures says which that is.`,
		"C:/captures/{card}.csv":               `"C:/captures/{card}.csv" is an absolute path. Paths are relative to the captures' folder; --captures says which that is.`,
		`captures\{card}.csv`:                  `"captures\\{card}.csv" has a backslash. Write folders with slashes: captures/{card}.csv`,
		"./":                                   `"./" is a folder. Write the path of a file.`,
		strings.Repeat("{card}", 200) + ".csv": `It has 1204 characters. At most 1000 are read.`,
	} {
		got := lines(Check(example(byPath(path))))
		if diff := cmp.Diff([]string{"plan.hcl:11: error: A path pattern cannot be used: " + want}, got); diff != "" {
			t.Errorf("%s\n%s", path, diff)
		}
	}
	if got := Check(example(byPath("./captures//{card}-{mode}/{game}_{resolution}_{repeat}.csv"), plan.Files{Log: "bench.csv"})); got != nil {
		t.Errorf("a good pattern: %v", got)
	}
}

func TestMeanings(t *testing.T) {
	const usual = "captures/{card}-{mode}/{game}_{variant}_{resolution}_{repeat}.csv"
	for _, c := range []struct {
		pattern, name string
		want          []string
	}{
		{usual, "captures/heron_x-tuned/fjord_rays_up_uhd_2.csv", []string{"heron_x·tuned fjord·rays_up uhd pass 2"}},
		{usual, "captures/heron_x-tuned/fjord_rays_up_uhd_02.csv", []string{"heron_x·tuned fjord·rays_up uhd pass 2"}},
		{usual, "captures/heron_x-tuned/fjord_rays_up_uhd_0.csv", nil},
		{usual, "captures/heron_x-tuned/fjord_rays_up_uhd_1000.csv", nil},
		{usual, "captures/heron_x-tuned/fjord_rays_up_uhd_+2.csv", nil},
		{usual, "captures/heron_x-tuned/fjord_rays_up_uhd_2.csv.gz", nil},
		{usual, "captures/heron_x-tuned/sub/fjord_rays_up_uhd_2.csv", nil},

		// What is implied need not be named, but may be; what is declared must be.
		{usual, "captures/tern_ref-stock/kelp_plain_uhd_1.csv", []string{"tern_ref·stock kelp·plain uhd pass 1"}},
		{usual, "captures/tern_ref/kelp_plain_uhd_1.csv", []string{"tern_ref·stock kelp·plain uhd pass 1"}},
		{usual, "captures/tern_ref-stock/kelp_uhd_1.csv", []string{"tern_ref·stock kelp·plain uhd pass 1"}},
		{usual, "captures/tern_ref/kelp_uhd_1.csv", []string{"tern_ref·stock kelp·plain uhd pass 1"}},
		{usual, "captures/heron_x/kelp_uhd_1.csv", nil},
		{usual, "captures/tern_ref/fjord_uhd_1.csv", nil},
		{usual, "captures/tern_ref-tuned/kelp_uhd_1.csv", nil},
		{"{mode}/{card}/{variant}-{game}.{resolution}.csv", "heron/kelp.uhd.csv", []string{"heron·stock kelp·plain uhd"}},
		{"{mode}/{card}/{variant}-{game}.{resolution}.csv", "tuned/heron_x/rays_up-fjord.uhd.csv", []string{"heron_x·tuned fjord·rays_up uhd"}},
		{"{card}_{game}_{resolution}_{mode}.csv", "heron_kelp_uhd.csv", []string{"heron·stock kelp·plain uhd"}},
		{"{card}/{game}_{resolution}/{mode}", "heron/kelp_uhd", nil}, // a folder cannot be the file

		// Separators inside labels: both readings are found.
		{"{card}_{any}_{game}_{resolution}.csv", "heron_x_kelp_uhd.csv", []string{"heron·stock kelp·plain uhd"}},
		{"{card}{any}_{game}_{resolution}.csv", "heron_x_kelp_uhd.csv", []string{
			"heron·stock kelp·plain uhd", "heron_x·stock kelp·plain uhd", "heron_x·tuned kelp·plain uhd"}},
		{"{card}_{game}_{repeat}{any}_{resolution}.csv", "heron_kelp_2_uhd.csv", []string{"heron·stock kelp·plain uhd pass 2"}},
		{"{card}_{game}{any}_{repeat}_{resolution}.csv", "heron_kelp_2_3_uhd.csv", []string{
			"heron·stock kelp·plain uhd pass 3", "heron·stock kelp_2·plain uhd pass 3"}},

		// A part that the pattern does not name stands for all there are.
		{"{card}/kelp_{resolution}.csv", "heron/kelp_uhd.csv", []string{
			"heron·stock fjord·plain uhd", "heron·stock fjord·rays_up uhd", "heron·stock kelp·plain uhd", "heron·stock kelp_2·plain uhd"}},

		// Sizes, twice named parts, the review.
		{"{card}.kelp_2.{game}.{size}.r{repeat}.csv", "heron.kelp_2.kelp_2.3840x2160.r3.csv", []string{"heron·stock kelp_2·plain uhd pass 3"}},
		{"{size}/{card}_{game}_{size}.csv", "2560x1440/heron_kelp_2560x1440.csv", []string{"heron·stock kelp·plain qhd"}},
		{"{size}/{card}_{game}_{size}.csv", "2560x1440/heron_kelp_3840x2160.csv", nil},
		{"{size}/{card}_{game}_{resolution}.csv", "2560x1440/heron_kelp_uhd.csv", nil},
		{"{card}/{card}_{game}_{size}.csv", "tern_ref/heron_kelp_2560x1440.csv", nil},
		{"{review}/{card}_{game}_{size}.csv", "spring-roundup/heron_kelp_2560x1440.csv", []string{"heron·stock kelp·plain qhd"}},
		{"{review}/{card}_{game}_{size}.csv", "autumn/heron_kelp_2560x1440.csv", nil},

		// Numbers are whole runs of digits.
		{"{card}_{game}_{size}{any}{repeat}.csv", "heron_kelp_2560x1440run12.csv", []string{"heron·stock kelp·plain qhd pass 12"}},
		{"{card}_{game}_{size}-{repeat}{any}.csv", "heron_kelp_2560x1440-12b.csv", []string{"heron·stock kelp·plain qhd pass 12"}},
		{"{any}{any}{card}{any}{any}_{game}_{size}{any}.csv", "aaheron-aa_kelp_2560x1440.csv", []string{"heron·stock kelp·plain qhd"}},

		// Times.
		{"{card}_{game}_{size}_{time}.csv", "heron_kelp_2560x1440_20270304T140000.csv", []string{"heron·stock kelp·plain qhd of 20270304T140000"}},
		{"{card}_{game}_{size}_{time}.csv", "heron_kelp_2560x1440_20270304_140000Z.csv", []string{"heron·stock kelp·plain qhd of 20270304_140000Z"}},
		{"{card}_{game}_{size}_{time}.csv", "heron_kelp_2560x1440_2027-03-04_14-00-00.csv", []string{"heron·stock kelp·plain qhd of 2027-03-04_14-00-00"}},
		{"{card}_{game}_{size}_{time}.csv", "heron_kelp_2560x1440_2027-03-04T14-00-00Z.csv", []string{"heron·stock kelp·plain qhd of 2027-03-04T14-00-00Z"}},
		{"{card}_{game}_{size}_{time}.csv", "heron_kelp_2560x1440_2027-02-29T14-00-00.csv", nil}, // no leap year
		{"{card}_{game}_{size}_{time}.csv", "heron_kelp_2560x1440_2027-03-04T24-00-00.csv", nil},
		{"{card}_{game}_{size}_{time}.csv", "heron_kelp_2560x1440_2027-03-04.csv", nil},
	} {
		p := example(byPath(c.pattern))
		ix := newIndex(p)
		var got []string
		pt := compile(ix, &p.Files[0], nil)
		all, _ := pt.meanings(ix, c.name, plan.Key{}, false)
		for _, m := range all {
			got = append(got, m.String())
		}
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%s\n%s\n%s", c.pattern, c.name, diff)
		}
	}
}

// A hostile name must not make the search explode.
func TestManyWays(t *testing.T) {
	p := example(byPath(strings.Repeat("{any}a", 60) + "{card}_{game}_{size}.csv"))
	ix := newIndex(p)
	pt := compile(ix, &p.Files[0], nil)
	if all, _ := pt.meanings(ix, strings.Repeat("a", 250), plan.Key{}, false); all != nil {
		t.Errorf("got %v", all)
	}
}
