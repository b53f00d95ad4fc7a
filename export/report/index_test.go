package report

import (
	"regexp"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"github.com/rigslate/rigslate/export/archive"
)

// hostile are names that a plan may hold and that must neither run nor break anything.
var hostile = []string{`<script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`, "=cmd()", "\u202eright to left", "שלום", strings.Repeat("🦩", 40), "two\nlines", `</style></script>`}

// invented is a small review whose every name is the given one.
func invented(name string) Source {
	base, other := Mode{name + "a", name}, Mode{name + "b", name}
	s := Source{Words: Words{Review: name, Title: name, Rig: name, RigParts: []Part{{name, name}}, Baseline: base,
		Modes:       []ModeWords{{Mode: base, Title: name, Vendor: name, Driver: name}, {Mode: other, Title: name, Vendor: name, Raised: true}},
		Games:       []GameWords{{Game: name, Variant: name, Title: name, Group: name, Build: name, Scene: name, Drive: name, Settings: []Part{{name, name}}}},
		Resolutions: []SizeWords{{Name: name}}, Statistics: StatisticsWords{Quantile: 7, Lows: "quantile", MarginPct: 1}, Warnings: []string{name},
		Claims:    []ClaimWords{{Claim: name, Hoped: name, Found: name, Notes: []string{name}}},
		Protocols: []ProtocolWords{{Soak: name, Load: name, LengthS: 60, SettleS: 30}},
		Soaks:     []SoakWords{{Mode: other, Soak: name, Repeat: 1, State: "doubtful", Why: []string{name}, Notes: []string{name}}},
		Aside:     []AsideWords{{Path: name, Status: "void", Reason: name}}, Elsewhere: []ElsewhereWords{{Name: name}}},
		Origin: Origin{Edition: "e0123456789abcdef", Published: "2027-02-26T09:00:00Z", Tool: name}}
	t := &s.Tables
	for i, m := range []Mode{base, other} {
		s.Words.Cells = append(s.Words.Cells, CellWords{Key: Key{m, name, name, name}, State: "vouched", Passes: 3, Of: 3, Why: []string{name}, Notes: []string{name}})
		t.Cells = append(t.Cells, archive.CellRow{Card: m.Card, Mode: m.Mode, Game: name, Variant: name, Resolution: name, Metric: headline, Unit: "fps", N: 3,
			Mean: some(60.04 + float64(i)), CILow: some(59.5), CIHigh: some(62.5), State: "vouched", Flags: some("single")})
		t.Readings = append(t.Readings, archive.ReadingRow{Card: m.Card, Mode: some(m.Mode), Protocol: some(name), Sensor: some(name), Figure: "end_c",
			Value: some(70.26), Unit: "°C", Expanded: some(2.66), Repeat: some(int32(1)), Note: some(name)},
			archive.ReadingRow{Card: m.Card, Figure: "length_mm", Value: some(262.0), Unit: "mm", Source: some("card." + name)})
	}
	t.Comparisons = []archive.ComparisonRow{{Game: name, Variant: name, Resolution: name, Metric: headline, Unit: "fps", Card: other.Card, Mode: other.Mode,
		BaseCard: base.Card, BaseMode: base.Mode, Percent: some(1.66), CILow: some(-0.04), CIHigh: some(3.4), P: some(0.06), Verdict: some("unresolved"),
		RepeatsNeeded: some(int32(9))}}
	t.Summaries = []archive.SummaryRow{{Group: allGames, Resolution: name, Metric: headline, Card: other.Card, Mode: other.Mode, BaseCard: base.Card,
		BaseMode: base.Mode, Games: 1, Percent: some(1.66), TheseLow: some(-0.04), TheseHigh: some(3.4), Verdict: some("unresolved")}}
	t.Claims = []archive.ClaimRow{{Claim: name, Says: name, Metric: headline, Unit: "%", Verdict: "open", Leaning: some("for"), Why: some(name), Said: some(name)}}
	t.Readings = append(t.Readings, archive.ReadingRow{Card: other.Card, Mode: some(other.Mode), Protocol: some(name), Sensor: some(name), Figure: "end_c",
		Value: some(-3.24), Unit: "K", CILow: some(-6.0), CIHigh: some(-0.02), Verdict: some("ahead"), BaseCard: some(base.Card), BaseMode: some(base.Mode)})
	return s
}

func pageOf(t *testing.T, s Source) (string, *html.Node) {
	t.Helper()
	f, err := s.Page(Pictures{})
	if err != nil {
		t.Fatal(err)
	}
	root, err := html.Parse(strings.NewReader(string(f.Content)))
	if err != nil {
		t.Fatal(err)
	}
	return string(f.Content), root
}

// attribute is "" for one that is not there.
func attribute(n *html.Node, name string) string {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val
		}
	}
	return ""
}

// words is what a reader reads below a node.
func readText(n *html.Node) string {
	var out []string
	for d := range n.Descendants() {
		if d.Type == html.TextNode && d.Parent.Data != "style" && d.Parent.Data != "script" {
			out = append(out, d.Data)
		}
	}
	return strings.Join(strings.Fields(strings.Join(out, "")), " ")
}

// Whatever a plan calls its things, the page has the elements of a page with plain names and no other, and reads what the plan says.
func TestHostileNamesOnThePage(t *testing.T) {
	elements := func(root *html.Node) (out []string) {
		for n := range root.Descendants() {
			if n.Type == html.ElementNode {
				names := n.Data
				for _, a := range n.Attr {
					names += " " + a.Key
				}
				out = append(out, names)
			}
		}
		return out
	}
	_, plain := pageOf(t, invented("fjord"))
	want := strings.Join(elements(plain), "\n")
	for _, name := range hostile {
		_, root := pageOf(t, invented(name))
		if got := strings.Join(elements(root), "\n"); got != want {
			t.Errorf("%q changes what the page is made of", name)
		}
		if text := readText(root); !strings.Contains(text, strings.Join(strings.Fields(name), " ")) {
			t.Errorf("%q cannot be read on the page", name)
		}
	}
}

// The page fetches nothing: no element that loads, no reference but to itself, and a policy that forbids any load and every script but
// the page's own.
func TestIndexFetchesNothing(t *testing.T) {
	text, root := pageOf(t, invented("fjord"))
	policy := ""
	for n := range root.Descendants() {
		switch n.Data {
		case "link", "img", "iframe", "object", "embed", "audio", "video", "source", "base":
			t.Errorf("the page has a %s", n.Data)
		}
		for _, a := range n.Attr {
			if a.Key == "src" || a.Key == "href" && !strings.HasPrefix(a.Val, "#") || strings.HasPrefix(a.Key, "on") || a.Key == "style" {
				t.Errorf("%s has %s=%q", n.Data, a.Key, a.Val)
			}
		}
		if attribute(n, "http-equiv") == "Content-Security-Policy" {
			policy = attribute(n, "content")
		}
	}
	if found := regexp.MustCompile(`(?i)@import|url\(|https?:`).FindString(text); found != "" {
		t.Errorf("the page has %q", found)
	}
	script := regexp.MustCompile(`(?s)<script>(.*)</script>`).FindStringSubmatch(text)
	if len(script) == 0 || !strings.Contains(policy, "'"+scriptHash([]byte(script[1]))+"'") || !strings.Contains(policy, "default-src 'none'") {
		t.Errorf("the policy is %q", policy)
	}
}

// Tables are tables to those who cannot see them: a caption, heads with scope, as many places in each row as there are heads. Ids are
// there once, and what refers to one finds it.
func TestIndexIsWellBuilt(t *testing.T) {
	_, root := pageOf(t, invented("fjord"))
	ids, tables := map[string]int{}, 0
	var asked []string
	for n := range root.Descendants() {
		if id := attribute(n, "id"); id != "" {
			ids[id]++
		}
		if to := attribute(n, "aria-labelledby"); to != "" {
			asked = append(asked, to)
		}
		if to, ok := strings.CutPrefix(attribute(n, "href"), "#"); ok {
			asked = append(asked, to)
		}
		if n.Data == "table" {
			tables++
			checkTable(t, n)
		}
	}
	if tables < 8 {
		t.Errorf("%d tables", tables)
	}
	for id, n := range ids {
		if n != 1 {
			t.Errorf("%s is there %d times", id, n)
		}
	}
	for _, id := range asked {
		if ids[id] != 1 {
			t.Errorf("nothing is called %s", id)
		}
	}
}

func checkTable(t *testing.T, table *html.Node) {
	t.Helper()
	heads, caption := 0, ""
	for n := range table.Descendants() {
		switch {
		case n.Data == "caption" && n.Type == html.ElementNode:
			caption = readText(n)
		case n.Data == "th" && attribute(n, "scope") == "col":
			heads++
		case n.Data == "th" && attribute(n, "scope") != "row":
			t.Errorf("%s: a head of nothing", caption)
		}
	}
	if caption == "" {
		t.Error("a table without a caption")
	}
	for n := range table.Descendants() {
		if n.Data != "tr" || n.Type != html.ElementNode {
			continue
		}
		places := 0
		for c := range n.ChildNodes() {
			if c.Data == "td" || c.Data == "th" {
				places++
			}
		}
		if places != heads {
			t.Errorf("%s: %d places under %d heads: %s", caption, places, heads, readText(n))
		}
	}
}

// Figures are rounded and worded as everywhere else; what is not resolved looks so, and an interval that holds 0 does not look as if it
// ended there.
func TestIndexFigures(t *testing.T) {
	text, root := pageOf(t, invented("fjord"))
	read := readText(root)
	for _, want := range []string{"60.0 [59.5, 62.5]", "61.0 [59.5, 62.5]", "+1.7 % [−0.04, 3.40]", "◌ unresolved", "9 launches a side would show a difference of 1 %",
		"70.3 ± 2.7", "−3.2 K [−6.00, −0.02]", "There is no difference we can resolve between", "open, leaning for", "doubtful, fjord", "edition e0123456789abcdef", "baseline"} {
		if !strings.Contains(read, want) {
			t.Errorf("%q is not on the page: %s", want, read)
		}
	}
	if !strings.Contains(text, `class="figure unresolved"`) {
		t.Error("a difference that is not resolved looks like one that is")
	}
}

// Charts stand in the page as they are drawn, so names in them must not run either: one script, nothing that loads, nothing that listens.
func TestHostileNamesInThePagesCharts(t *testing.T) {
	for _, name := range hostile {
		s := invented(name)
		drawings, err := pictures(s)
		if err != nil {
			t.Fatal(err)
		}
		f, err := s.Page(drawings)
		if err != nil {
			t.Fatal(err)
		}
		root, err := html.Parse(strings.NewReader(string(f.Content)))
		if err != nil {
			t.Fatal(err)
		}
		count := map[string]int{}
		for n := range root.Descendants() {
			if n.Type != html.ElementNode {
				continue
			}
			count[n.Data]++
			for _, a := range n.Attr {
				if strings.HasPrefix(a.Key, "on") || a.Key == "src" {
					t.Errorf("%q brings %s=%q", name, a.Key, a.Val)
				}
			}
		}
		if count["script"] != 1 || count["style"] != 1 || count["img"] != 0 || count["svg"] < 2 {
			t.Errorf("%q: %v", name, count)
		}
	}
}

// A page says how its plots are reduced, and a draft why it has none.
func TestPageSaysWhatItsPlotsShow(t *testing.T) {
	s := stressed(2, 1)
	drawings, err := pictures(s)
	if err != nil {
		t.Fatal(err)
	}
	page, err := s.Page(drawings)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(page.Content), "from the shortest to the longest frame") {
		t.Error("it is not said how frame times are reduced")
	}
	s.Origin.Edition, s.Frames = "", nil
	if text, _ := pageOf(t, s); !strings.Contains(text, "A draft keeps no frames") {
		t.Error("a draft does not say why it has no plots")
	}
}

// A name that turns text round turns nothing but itself.
func TestNamesTurnNothingElse(t *testing.T) {
	const name = "\u202eTern"
	s := stressed(2, 1)
	s.Words.Modes[0].Title, s.Frames = name, nil
	if _, root := pageOf(t, s); !strings.Contains(readText(root), "against \u2068"+name+"\u2069, with") {
		t.Error("what stands behind a name is turned round")
	}
}
