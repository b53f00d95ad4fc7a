package ingest

// limits bounds what one file may ask for. A recording of a day at 190 frames a second still fits.
type limits struct {
	frames int   // rows of a record
	plain  int64 // bytes of text
	free   int64 // bytes a compressed file may unpack to whatever its size
	ratio  int64 // beyond those, bytes of text per byte on disk; captures reach about ten
	window uint64
}

var standard = limits{frames: 1 << 24, plain: 4 << 30, free: 32 << 20, ratio: 100, window: 32 << 20}
