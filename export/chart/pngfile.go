package chart

import (
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"io"

	"github.com/klauspost/compress/zlib"
)

// encodePNG writes an image as PNG (ISO/IEC 15948), without transparency where every pixel is opaque. The standard library's encoder tries five filters on each
// row, which takes two thirds of a chart's time and makes flat colours larger, not smaller; here is none, and a quicker deflate.
func encodePNG(w io.Writer, im *image.RGBA, opaque bool) error {
	b := im.Bounds()
	kind, bytesEach := byte(6), 4 // red, green, blue, opacity
	if opaque {
		kind, bytesEach = 2, 3
	}
	if _, err := io.WriteString(w, "\x89PNG\r\n\x1a\n"); err != nil {
		return err
	}
	head := make([]byte, 13)
	binary.BigEndian.PutUint32(head, uint32(b.Dx()))
	binary.BigEndian.PutUint32(head[4:], uint32(b.Dy()))
	head[8], head[9] = 8, kind
	if err := pngChunk(w, "IHDR", head); err != nil {
		return err
	}
	data := pngData{w: w}
	z, err := zlib.NewWriterLevel(&data, zlib.BestSpeed)
	if err != nil {
		return fmt.Errorf("deflate: %w", err)
	}
	row := make([]byte, 1+bytesEach*b.Dx()) // the first byte names the filter: none
	for y := range b.Dy() {
		pixels := im.Pix[y*im.Stride:][:4*b.Dx()]
		if opaque {
			for i, j := 0, 1; i < len(pixels); i, j = i+4, j+3 {
				row[j], row[j+1], row[j+2] = pixels[i], pixels[i+1], pixels[i+2]
			}
		} else {
			straight(row[1:], pixels)
		}
		if _, err := z.Write(row); err != nil {
			return err
		}
	}
	if err := z.Close(); err != nil {
		return err
	}
	if err := data.flush(); err != nil {
		return err
	}
	return pngChunk(w, "IEND", nil)
}

// straight copies pixels, their colours divided by their opacity as PNG has them (image/color's own arithmetic).
func straight(to, from []byte) {
	for i := 0; i < len(from); i += 4 {
		a := uint32(from[i+3])
		if a == 0 || a == 255 {
			copy(to[i:i+4], from[i:i+4])
			continue
		}
		for k := range 3 {
			to[i+k] = uint8(uint32(from[i+k]) * 0x101 * 0xffff / (a * 0x101) >> 8)
		}
		to[i+3] = from[i+3]
	}
}

// pngData cuts what deflate gives into chunks.
type pngData struct {
	w   io.Writer
	buf []byte
}

func (d *pngData) Write(p []byte) (int, error) {
	d.buf = append(d.buf, p...)
	if len(d.buf) >= 1<<16 {
		return len(p), d.flush()
	}
	return len(p), nil
}

func (d *pngData) flush() error {
	err := pngChunk(d.w, "IDAT", d.buf)
	d.buf = d.buf[:0]
	return err
}

func pngChunk(w io.Writer, kind string, content []byte) error {
	out := make([]byte, 0, len(content)+12)
	out = binary.BigEndian.AppendUint32(out, uint32(len(content)))
	out = append(append(out, kind...), content...)
	_, err := w.Write(binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[4:])))
	return err
}
