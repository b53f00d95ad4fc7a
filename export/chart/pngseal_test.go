package chart

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"image/png"
	"runtime"
	"testing"
)

func sealed(t *testing.T) ([]byte, [sha256.Size]byte) {
	t.Helper()
	var b bytes.Buffer
	if err := stress(3).Picture(Wide, Look{}).WritePNG(&b, Dark, 320); err != nil {
		t.Fatal(err)
	}
	origin := Look{}.Origin(sha256.Sum256([]byte("<svg/>")), 320)
	out, err := Seal(b.Bytes(), origin)
	if err != nil {
		t.Fatal(err)
	}
	return out, origin
}

// A sealed picture is known again, is one to the standard library, and is not known once any byte of it changed, it was cut, or something was added.
func TestSeal(t *testing.T) {
	good, origin := sealed(t)
	if !Sealed(good, origin) {
		t.Fatal("not known again")
	}
	if _, err := png.Decode(bytes.NewReader(good)); err != nil {
		t.Error(err)
	}
	for _, other := range [][sha256.Size]byte{Look{}.Origin(sha256.Sum256([]byte("<svg />")), 320), Look{}.Origin(sha256.Sum256([]byte("<svg/>")), 640), {}} {
		if Sealed(good, other) {
			t.Errorf("known as of %x", other[:4])
		}
	}
	for i := range good {
		good[i] ^= 0x20
		if Sealed(good, origin) {
			t.Fatalf("known although byte %d of %d changed", i, len(good))
		}
		good[i] ^= 0x20
	}
	for _, n := range []int{0, 1, 11, 12, 100, len(good) - 1} {
		if Sealed(good[:n], origin) {
			t.Errorf("%d bytes of %d are known", n, len(good))
		}
	}
	if Sealed(append(bytes.Clone(good), 0), origin) {
		t.Error("known with a byte behind its end")
	}
	if _, err := Seal(good[:20], origin); err == nil {
		t.Error("what is no PNG was sealed")
	}
}

// The dots of shapes and letters are pinned: who changes them raises drawing, so that pictures on disk are drawn anew, and pins them here. On other
// architectures sums may be fused, and dots differ by a shade.
func TestDrawingIsPinned(t *testing.T) {
	if runtime.GOARCH != "amd64" {
		t.Skip("pinned on amd64")
	}
	pinned := map[int]string{1: "ec152bb1cf1dc7d3"}
	long := []Point{}
	for i := range 200 {
		long = append(long, Point{float64(10 + i), float64(20 + i*i%17)})
	}
	p := Picture{Format: Format{Width: 320, Height: 180}, Layers: []Layer{{ID: "all",
		Shapes: []Shape{{Path: circle(60, 90, 30), Fill: hueOf(1)}, {Path: regular(150, 90, 30, 6, 10), Stroke: hueOf(2), Width: 3},
			{Path: line(Point{10, 150}, Point{300, 140}), Stroke: InkBase, Width: 2, Dash: []float64{6, 4}}, {Path: line(long...), Stroke: hueOf(3), Width: 2}},
		Texts: []Text{{X: 20, Y: 170, Size: 20, Ink: InkText, S: "0 of 8 µ", Width: 80}, {X: 300, Y: 120, Size: 14, Bold: true, Anchor: End, Ink: InkSoft, S: "−5.2 %", Width: 50}}}}}
	var b bytes.Buffer
	for _, theme := range []Theme{Light, Clear} {
		if err := p.WritePNG(&b, theme, 480); err != nil {
			t.Fatal(err)
		}
	}
	sum := sha256.Sum256(b.Bytes())
	if got := hex.EncodeToString(sum[:8]); pinned[drawing] != got {
		t.Errorf("the dots of drawing %d are %s, pinned is %q", drawing, got, pinned[drawing])
	}
}
