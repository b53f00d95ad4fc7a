package chart

import (
	"bytes"
	"encoding/xml"
	"errors"
	"image"
	imagedraw "image/draw"
	"image/png"
	"io"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func points(s Segment) int {
	switch s.Op {
	case 'C':
		return 3
	case 'Z':
		return 0
	}
	return 1
}

// svgElements are all that the writer has a use for: no script, style, link or foreign content can be among them.
var svgElements = map[string]bool{"svg": true, "title": true, "desc": true, "g": true, "path": true, "text": true, "rect": true}

// readSVG parses a picture as XML and returns its texts and ids.
func readSVG(t interface{ Fatalf(string, ...any) }, content []byte) (texts []string, ids map[string]int) {
	ids = map[string]int{}
	dec := xml.NewDecoder(bytes.NewReader(content))
	var inText bool
	for {
		token, err := dec.Token()
		if errors.Is(err, io.EOF) {
			return texts, ids
		}
		if err != nil {
			t.Fatalf("no XML: %v", err)
		}
		switch e := token.(type) {
		case xml.StartElement:
			if !svgElements[e.Name.Local] {
				t.Fatalf("element <%s>", e.Name.Local)
			}
			for _, a := range e.Attr {
				if strings.HasPrefix(strings.ToLower(a.Name.Local), "on") || strings.Contains(a.Name.Local, "href") {
					t.Fatalf("attribute %s=%q", a.Name.Local, a.Value)
				}
				if a.Name.Local == "id" {
					ids[a.Value]++
				}
			}
			inText = e.Name.Local == "text"
		case xml.EndElement:
			inText = false
		case xml.CharData:
			if inText {
				texts = append(texts, string(e))
			}
		case xml.Directive, xml.ProcInst:
			t.Fatalf("a directive or processing instruction: %v", token)
		}
	}
}

// The picture of any plan is well-formed XML without anything active in it, says on it what the layout says, and gives each layer an id of its own.
func TestSVGIsSafe(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyRails(t)
		c.Name = rapid.OneOf(rapid.Just("rails-fjord"), anyName()).Draw(t, "chart")
		for i := range c.Rails {
			c.Rails[i].ID = anyName().Draw(t, "id")
		}
		p := c.Picture(Wide, Look{})
		var buf bytes.Buffer
		if err := p.WriteSVG(&buf, Theme(rapid.IntRange(0, 3).Draw(t, "theme"))); err != nil {
			t.Fatalf("%v", err)
		}
		texts, ids := readSVG(t, buf.Bytes())
		for id, n := range ids {
			if n > 1 {
				t.Fatalf("id %q stands %d times", id, n)
			}
		}
		want := p.Texts()
		if len(texts) != len(want) {
			t.Fatalf("%d texts, laid out are %d", len(texts), len(want))
		}
		for i := range want {
			if texts[i] != want[i].S {
				t.Fatalf("text %d is %q, laid out is %q", i, texts[i], want[i].S)
			}
		}
	})
}

func TestSVGHasLayers(t *testing.T) {
	c := stress(3)
	c.Name = "uhd-fjord"
	c.Rails[0].ID, c.Rails[0].Card, c.Rails[1].ID, c.Rails[1].Card = "heron_x.stock", "heron_x", "heron_x.tuned", "heron_x"
	var buf bytes.Buffer
	if err := c.Picture(Wide, Look{}).WriteSVG(&buf, Page); err != nil {
		t.Fatal(err)
	}
	_, ids := readSVG(t, buf.Bytes())
	for _, id := range []string{"uhd-fjord-title", "uhd-fjord-desc", "uhd-fjord-frame", "uhd-fjord-baseline", "uhd-fjord-group-heron_x",
		"uhd-fjord-card-heron_x-stock", "uhd-fjord-card-heron_x-tuned", "uhd-fjord-card-c2"} {
		if ids[id] != 1 {
			t.Errorf("id %s stands %d times", id, ids[id])
		}
	}
	for _, want := range []string{"<title id=\"uhd-fjord-title\">Fjord Runner, ray traced</title>", "var(--chart-hue0)", "role=\"img\""} {
		if !strings.Contains(buf.String(), want) {
			t.Errorf("no %s", want)
		}
	}
	if regexp.MustCompile(`#[0-9a-fA-F]{6}`).Match(buf.Bytes()) {
		t.Error("a picture for the page has a colour of its own")
	}
}

// What an editor stacks for a reveal is, with the last layer, the picture.
func TestPartsMakeTheWhole(t *testing.T) {
	c := stress(4)
	c.Rails[0].Card, c.Rails[2].Card = "a", "a"
	whole := c.Picture(Wide, Look{})
	draw := func(p Picture) image.Image {
		var buf bytes.Buffer
		if err := p.WritePNG(&buf, Clear, 640); err != nil {
			t.Fatal(err)
		}
		im, err := png.Decode(&buf)
		if err != nil {
			t.Fatal(err)
		}
		return im
	}
	want := draw(whole)
	stack := image.NewRGBA(want.Bounds())
	for _, l := range whole.Layers {
		part, ok := whole.Part(l.ID)
		if !ok {
			t.Fatalf("no part %s", l.ID)
		}
		imagedraw.Draw(stack, stack.Bounds(), draw(part), image.Point{}, imagedraw.Over)
	}
	for y := range want.Bounds().Dy() {
		for x := range want.Bounds().Dx() {
			r1, g1, b1, a1 := want.At(x, y).RGBA()
			r2, g2, b2, a2 := stack.At(x, y).RGBA()
			for _, d := range [][2]uint32{{r1, r2}, {g1, g2}, {b1, b2}, {a1, a2}} {
				if max(d[0], d[1])-min(d[0], d[1]) > 6<<8 { // a few steps of 256: each layer is rounded by itself
					t.Fatalf("at %d, %d the picture is %v, its layers make %v", x, y, want.At(x, y), stack.At(x, y))
				}
			}
		}
	}
	if _, ok := whole.Part("card-nobody"); ok {
		t.Error("a part that is not there")
	}
}

func TestPNGSizes(t *testing.T) {
	for _, c := range []struct {
		f             Format
		width, height int
	}{{Wide, 3840, 2160}, {Wide, 1920, 1080}, {Tall, 1080, 1920}} {
		var buf bytes.Buffer
		if err := stress(2).Picture(c.f, Look{}).WritePNG(&buf, Clear, c.width); err != nil {
			t.Fatal(err)
		}
		im, err := png.Decode(&buf)
		if err != nil {
			t.Fatal(err)
		}
		if b := im.Bounds(); b.Dx() != c.width || b.Dy() != c.height {
			t.Errorf("%d × %d, asked for %d × %d", b.Dx(), b.Dy(), c.width, c.height)
		}
		if _, _, _, a := im.At(0, 0).RGBA(); a != 0 {
			t.Errorf("a corner has opacity %d", a)
		}
		opaque := 0
		for y := 0; y < c.height; y += 2 {
			for x := 0; x < c.width; x += 2 {
				if _, _, _, a := im.At(x, y).RGBA(); a == 0xffff {
					opaque++
				}
			}
		}
		if share := float64(opaque) * 4 / float64(c.width*c.height); share < 0.005 || share > 0.5 {
			t.Errorf("%.1f %% of the picture is opaque", 100*share)
		}
	}
	if err := stress(2).Picture(Wide, Look{}).WritePNG(io.Discard, Page, 100); err == nil {
		t.Error("a PNG in the colours of a page that is not there")
	}
}
