// Package ingest reads a capture, as some program wrote it, into an Arrow record of whole nanoseconds, and a log of a bench's instruments
// into channels over one time. It says what is in a file, never what it means for the review: it is handed a small layout and knows nothing
// of plans.
//
// A file is read once, in chunks: every byte on disk is hashed and, where the archive wants it, copied on its way through
// decompression and decoding into columns. A capture therefore costs the memory of its columns, not of its text, and the hash,
// the copy and the numbers cannot come from different states of the file. Arrow's own CSV reader was rejected: it turns a second
// bad cell into 0 or infinity and ignores the names in the header.
package ingest
