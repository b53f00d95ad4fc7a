package chart

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"fmt"
)

// drawing is raised whenever the same chart gives other dots than before: in a rasteriser, an encoder or the built-in fonts.
const drawing = 1

// sealKey is the keyword of the text chunk (ISO/IEC 15948, 11.3.3.3) in which a picture says what it was drawn from.
const sealKey = "rigslate drawn from"

// pngEnd is the last chunk of every PNG.
var pngEnd = func() []byte {
	var b bytes.Buffer
	_ = pngChunk(&b, "IEND", nil) // a buffer takes everything
	return b.Bytes()
}()

// Origin names what a PNG of so many pixels in width is drawn from: the chart's SVG in the same shape and theme, by its hash, the fonts and this release's way of
// drawing. The same origin gives the same bytes.
func (l Look) Origin(svg [sha256.Size]byte, width int) [sha256.Size]byte {
	fonts := l.fonts().sum
	return sha256.Sum256(fmt.Appendf(nil, "%d\n%d\n%x\n%x", drawing, width, fonts, svg))
}

// Seal puts into a PNG what it was drawn from, with the hash of all its other bytes.
func Seal(png []byte, origin [sha256.Size]byte) ([]byte, error) {
	body, ok := bytes.CutSuffix(png, pngEnd)
	if !ok {
		return nil, fmt.Errorf("a picture of %d bytes does not end as PNG does", len(png))
	}
	sum := sha256.Sum256(body)
	out := bytes.NewBuffer(bytes.Clone(body))
	text := sealKey + "\x00" + hex.EncodeToString(origin[:]) + " " + hex.EncodeToString(sum[:])
	if err := pngChunk(out, "tEXt", []byte(text)); err != nil {
		return nil, err
	}
	out.Write(pngEnd)
	return out.Bytes(), nil
}

// Sealed tells whether a PNG is the picture of that origin, every byte as it was drawn: one that was cut, changed or drawn over is not, even by a program
// that keeps texts in the file.
func Sealed(png []byte, origin [sha256.Size]byte) bool {
	const size = len(sealKey) + 1 + 4*sha256.Size + 1
	at := len(png) - len(pngEnd) - size - 12 // a chunk has twelve bytes beside its content
	if at < 0 || binary.BigEndian.Uint32(png[at:]) != uint32(size) {
		return false
	}
	again, err := Seal(append(bytes.Clone(png[:at]), pngEnd...), origin)
	return err == nil && bytes.Equal(again, png)
}
