package plan

import (
	"strings"
	"testing"
)

func TestNearest(t *testing.T) {
	known := []string{"heron_x", "tern_ref", "gannet", "uhd", "qhd"}
	for got, want := range map[string]string{
		"herron_x": "heron_x", "heron-x": "heron_x", "HERON_X": "heron_x", "tern_rfe": "tern_ref", "ganet": "gannet",
		"uhd2": "uhd", "kestrel": "", "x": "", "": "", "fhd": "qhd", // fhd is as near to uhd: the first by name
	} {
		if best := nearest(got, known); best != want {
			t.Errorf("%q: %q, want %q", got, best, want)
		}
	}
	if m := didYouMean("kestrel", []string{"a", "b"}); m != "Known here: a, b." {
		t.Errorf("without a near one: %q", m)
	}
	if m := oneOf(strings.Split(strings.Repeat("a,", 20), ",")); !strings.Contains(m, "21 in all") {
		t.Errorf("many: %q", m)
	}
}

// TestMends looks at what a reviewer is told to do, beside the summaries that the fixtures hold.
func TestMends(t *testing.T) {
	for _, c := range []struct{ text, detail, mend string }{
		{"matrix {\n  cards = [card.bb]\n}", `There is no card "bb".`, "Did you mean b?"},
		{"matrix {\n  cards = [card.a.tunde]\n}", `card.a has no mode "tunde".`, "Did you mean tuned?"},
		{"matrix {\n  cards = [\"a.stock\"]\n}", `cards of matrix names a card; this is the text "a.stock".`, "Write card.a.stock without quotes."},
		{"matrix {\n  repeats = \"3\"\n}", `repeats of matrix is the text "3".`, "Write a number. Leave out the quotes."},
		{"matrix {\n  repats = 3\n}", `matrix has no "repats".`, "Did you mean repeats?"},
		{"card \"c\" { vendor = tern }", "tern is neither text nor a reference.", `Write "tern" if text is meant. Known here: card, game, let, resolution, rig, soak, sweep.`},
		{"card \"Big Card\" { vendor = \"v\" }", `"Big Card" cannot be a label.`,
			`Write "big_card". Labels are lower-case a-z, 0-9, _ and -, begin with a letter and have at most 40 characters.`},
		{"resolution \"w\" { size = \"1920*1080\" }", `size of resolution "w" is "1920*1080".`,
			`Write width x height in pixels, such as "2560x1440", each from 1 to 99999.`},
		{"game \"k\" {\n  drive = \"by-hand\"\n  keep = \"all\"\n}", `drive of game "k" is "by-hand".`,
			`Did you mean "by hand"? Known here: "built-in", "replay", "by hand".`},
		{"matrix {\n  games = lenght([])\n}", `There is no function "lenght".`, "Did you mean length?"},
		{"let {\n  n = length(range(1, 5000))\n}", "range gives 1000 numbers at most.", ""},
		{"let {\n  n = format(\"%5000d\", 1)\n}", "format makes fields of 999 characters at most.", ""},
		{"let {\n  n = distinct(1)\n}", "distinct takes a list.", ""},
		{"files \"f\" {\n  path = \"x\"\n  timestamp = { column = 1, unit = \"µs\" }\n}", `unit of timestamp of files "f" is "µs".`, `Did you mean "us"? Known here: "s", "ms", "us", "ns".`},
		{"soak \"s\" {\n  load = \"idle\"\n  length = \"9m\"\n  log {\n    path = \"x\"\n    time = { column = 1, unit = \"s\" }\n    channels = { hot = { column = 2, unit = \"°C\" } }\n  }\n}",
			`unit of hot of channels of log of soak "s" is "°C".`, `Write "C".`},
		{"soak \"s\" {\n  load = \"idle\"\n  length = \"9m\"\n  log {\n    path = \"x\"\n    offset = \"2.5\"\n  }\n}",
			`offset of log of soak "s" is "2.5".`, `Write a duration with its sign, such as "+2.5s" or "-1m30s".`},
		{"claim \"c\" {\n  metric = \"sustained_paek_c\"\n}", `metric of claim "c" is "sustained_paek_c".`, `Did you mean "sustained_peak_c"?`},
		{"reading \"r\" {\n  soak = soak.hlaf\n}\nsoak \"half\" {\n}", `There is no soak "hlaf".`, "Did you mean half?"},
		{"let {\n  n = lower(1, 2)\n}", "lower takes fewer arguments.", ""},
	} {
		_, findings := loadText([]byte(bench + c.text + "\nmatrix {\n}\n"))
		found := false
		for _, f := range findings {
			found = found || f.Detail == c.detail && f.Mend == c.mend
		}
		if !found {
			t.Errorf("%s\nwant %s / %s\ngot %+v", c.text, c.detail, c.mend, findings)
		}
	}
}
