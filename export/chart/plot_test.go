package chart

import (
	"bytes"
	"encoding/xml"
	"io"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// A trace of steps, added up, stands within a twentieth of a unit of where it was laid out, however long it is. The grammar is that of SVG 2
// paths: https://www.w3.org/TR/SVG2/paths.html, "moveto", "lineto" and "vertical lineto".
func TestTraceData(t *testing.T) {
	step := regexp.MustCompile(`([Mlv])(-?\d+)(?: ?(-?\d+))?`)
	rapid.Check(t, func(t *rapid.T) {
		var path []Segment
		x := 0.0
		for i := range rapid.IntRange(1, 300).Draw(t, "steps") {
			op := byte('L')
			if i == 0 || rapid.IntRange(0, 20).Draw(t, "op") == 0 {
				op = 'M'
			}
			x += rapid.Float64Range(0, 3).Draw(t, "dx")
			path = append(path, Segment{Op: op, P: [3]Point{{x, rapid.Float64Range(0, 1080).Draw(t, "y")}}})
		}
		d := traceData(path)
		found := step.FindAllStringSubmatch(d, -1)
		if len(found) != len(path) || step.ReplaceAllString(d, "") != "" {
			t.Fatalf("%d steps for %d: %s", len(found), len(path), d)
		}
		var at Point
		for i, m := range found {
			a, _ := strconv.ParseFloat(m[2], 64)
			b, _ := strconv.ParseFloat(m[3], 64)
			switch m[1] {
			case "M":
				at = Point{a, b}
			case "l":
				at = Point{at.X + a, at.Y + b}
			case "v":
				at.Y += a
			}
			if want := path[i].P[0]; at.X/10-want.X > 0.0501 || want.X-at.X/10 > 0.0501 || at.Y/10-want.Y > 0.0501 || want.Y-at.Y/10 > 0.0501 {
				t.Fatalf("step %d stands at %v, want %v", i, at, want)
			}
		}
	})
}

// What a page reads off a plot is on the page alone: a file for an editor has neither, and both draw the same lines.
func TestPlotsAreForThePage(t *testing.T) {
	c := FrameTimes{Head: Head{Name: "f"}, Lanes: []Lane{{Row: Row{Name: "Tern"}, MS: []float64{16, 17, 33, 16}}}}
	for _, theme := range []Theme{Page, Light} {
		var b bytes.Buffer
		if err := c.Picture(Wide, Look{}).WriteSVG(&b, theme); err != nil {
			t.Fatal(err)
		}
		plots, traces := 0, 0
		d := xml.NewDecoder(strings.NewReader(b.String()))
		for {
			token, err := d.Token()
			if err == io.EOF {
				break
			}
			if err != nil {
				t.Fatal(err)
			}
			if e, ok := token.(xml.StartElement); ok {
				for _, a := range e.Attr {
					switch {
					case a.Name.Local == "data-plot":
						plots++
						if f := strings.Fields(a.Value); len(f) != 11 || f[4] != "0" || f[8] != "even" || f[10] != "ms" {
							t.Errorf("a plot says %q", a.Value)
						}
					case a.Name.Local == "class" && a.Value == string(Trace):
						traces++
					}
				}
			}
		}
		if want := map[Theme]int{Page: 1}[theme]; plots != want || traces != want {
			t.Errorf("theme %v: %d plots, %d traces", theme, plots, traces)
		}
	}
}
