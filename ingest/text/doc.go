// Package text turns delimited text into columns of whole nanoseconds. It says what is in a file and what is wrong with it, line
// by line, and knows neither what the columns mean for a review nor Arrow, so that it builds and fuzzes in seconds.
//
// It is a byte parser with two ways through a line. Most lines hold bare ASCII numerals and take the quick one, a single pass
// over the bytes. A line it cannot take for any reason (quotes, blanks, exponents, a mistake) is read again by the patient way,
// which alone decides what is good and words every finding; the quick one can only agree with it or decline. encoding/csv with
// strconv was rejected: ten times slower, it rounds through float64, and lets NaN, hexadecimal and underscores pass.
//
// A log of a bench's instruments is read by the same rules, a row being a sample at a time; it is small, and goes the patient way only.
//
// Memory does not depend on the file: a chunk of text, which grows to hold the longest line (at most 1 MiB), and one block of
// rows.
package text
