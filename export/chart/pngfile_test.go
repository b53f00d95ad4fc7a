package chart

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"testing"

	"pgregory.net/rapid"
)

// The standard library, which is not the writer, reads every pixel back as the standard library's own writer would have kept it.
func TestPNGReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(1, 40).Draw(t, "width"), rapid.IntRange(1, 40).Draw(t, "height")
		im := image.NewRGBA(image.Rect(0, 0, w, h))
		opaque := rapid.Bool().Draw(t, "opaque")
		pixels := rapid.SliceOfN(rapid.Uint32(), w*h, w*h).Draw(t, "pixels")
		for i, v := range pixels {
			c := color.NRGBA{uint8(v), uint8(v >> 8), uint8(v >> 16), uint8(v >> 24)}
			if opaque {
				c.A = 255
			}
			im.Set(i%w, i/w, c)
		}
		var ours, theirs bytes.Buffer
		if err := encodePNG(&ours, im, im.Opaque()); err != nil {
			t.Fatal(err)
		}
		if err := png.Encode(&theirs, im); err != nil {
			t.Fatal(err)
		}
		got, err := png.Decode(&ours)
		if err != nil {
			t.Fatal(err)
		}
		want, err := png.Decode(&theirs)
		if err != nil {
			t.Fatal(err)
		}
		for y := range h {
			for x := range w {
				a, b := color.NRGBAModel.Convert(got.At(x, y)), color.NRGBAModel.Convert(want.At(x, y))
				if a != b && (b.(color.NRGBA).A != 0 || a.(color.NRGBA).A != 0) {
					t.Fatalf("at %d, %d: %v, written was %v, the standard library keeps %v", x, y, a, im.At(x, y), b)
				}
			}
		}
	})
}
