package plan

import (
	"bytes"
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"unicode/utf8"

	"github.com/hashicorp/hcl/v2"
	"github.com/hashicorp/hcl/v2/hclsyntax"
)

// maxDepth bounds how deeply brackets, operators and templates may nest: the parser calls itself for each.
const maxDepth = 200

const unreadable = "Plan text cannot be read"

// parse reads one file. A file with an error of syntax marks the plan as partial; its labels still count as declared, and nothing
// else is said of it.
func (l *loader) parse(src Source) *hclsyntax.Body {
	l.plan.Sources = append(l.plan.Sources, src)
	if l.first == "" {
		l.first = src.Path
	}
	t := newLines(src.Bytes)
	l.lines[src.Path] = t
	data := []byte(t.data)
	if !l.parsable(src.Path, data) {
		l.partial = true
		return nil
	}
	body, at := l.parseFrom(src.Path, data, hcl.InitialPos)
	broken := at >= 0
	for range maxResumes {
		next := nextBlock(data, at)
		if next < 0 {
			break
		}
		// The parser says little after its first complaint; what follows is read afresh from the next block at a line's beginning.
		var rest *hclsyntax.Body
		rest, at = l.parseFrom(src.Path, data, hcl.Pos{Line: 1 + bytes.Count(data[:next], []byte{'\n'}), Column: 1, Byte: next})
		body.Blocks = append(body.Blocks, rest.Blocks...)
	}
	if broken {
		l.partial, l.broken[src.Path] = true, true
	}
	return body
}

// parsable refuses what the parser should not see.
func (l *loader) parsable(file string, data []byte) bool {
	if !utf8.Valid(data) {
		at := 0
		for r, n := utf8.DecodeRune(data); r != utf8.RuneError || n != 1; r, n = utf8.DecodeRune(data[at:]) {
			at += n
		}
		l.error(byteAt(file, data, at), "Plan is not UTF-8", fmt.Sprintf("Byte 0x%02x does not belong to a character.", data[at]), "Save the file as UTF-8.")
		return false
	}
	if l.bytes += len(data); len(data) > maxPlanBytes || l.bytes > maxPlanBytesInAll {
		l.tooLarge(file)
		return false
	}
	tokens, _ := hclsyntax.LexConfig(data, "", hcl.InitialPos)
	if at := inPieces(tokens); at >= 0 {
		l.error(byteAt(file, data, at), "A text is too long", fmt.Sprintf("It has more than %d lines, or signs of a template.", maxPieces), "Write less.")
		return false
	}
	if at := tooDeep(tokens); at >= 0 {
		l.error(byteAt(file, data, at), "Nested too deeply", fmt.Sprintf("More than %d levels are open here.", maxDepth),
			"Give the inner parts names in a let block.")
		return false
	}
	return true
}

// maxResumes bounds how often a broken file is read on.
const maxResumes = 20

var blockStart = regexp.MustCompile(`(?m)^[a-z_]+[ \t]*("[^"\n]*"[ \t]*)?\{`)

// nextBlock finds where a block seems to begin on a line after a byte, -1 if none does or the byte is negative.
func nextBlock(data []byte, at int) int {
	if at < 0 {
		return -1
	}
	eol := bytes.IndexByte(data[at:], '\n')
	if eol < 0 {
		return -1
	}
	if m := blockStart.FindIndex(data[at+eol:]); m != nil {
		return at + eol + m[0]
	}
	return -1
}

// parseFrom parses the rest of a file; at is the byte of the last error of syntax passed on, -1 if there is none.
func (l *loader) parseFrom(file string, data []byte, from hcl.Pos) (body *hclsyntax.Body, at int) {
	f, diags := hclsyntax.ParseConfig(data[from.Byte:], file, from)
	body, ok := f.Body.(*hclsyntax.Body)
	if !ok {
		body = &hclsyntax.Body{}
	}
	return body, l.syntax(diags)
}

// syntax turns the parser's words into ours. An argument written twice leaves the file readable; anything else does not. One
// mistake often makes several complaints: of one line the first is passed on, and none after a text that is never closed.
func (l *loader) syntax(diags hcl.Diagnostics) (at int) {
	diags = slices.DeleteFunc(slices.Clone(diags), func(d *hcl.Diagnostic) bool { return d.Subject == nil })
	slices.SortStableFunc(diags, func(a, b *hcl.Diagnostic) int { return cmp.Compare(a.Subject.Start.Byte, b.Subject.Start.Byte) })
	at = -1
	line := 0
	for _, d := range diags {
		if d.Summary == "Attribute redefined" {
			l.error(*d.Subject, "Written twice", "The same argument stands above in this block.", "Delete one of them.")
			continue
		}
		if d.Subject.Start.Line == line {
			continue
		}
		line, at = d.Subject.Start.Line, d.Subject.Start.Byte
		cause, ok := syntaxCause[d.Summary]
		if !ok {
			cause = [2]string{"Something else is expected here.", "One argument stands on a line, as NAME = VALUE; blocks are NAME \"label\" { … }."}
		}
		l.error(*d.Subject, unreadable, cause[0], cause[1])
		if d.Summary == "Invalid multi-line string" {
			break
		}
	}
	return at
}

// byteAt is the one byte of a text that the parser never saw.
func byteAt(file string, data []byte, at int) hcl.Range {
	return hcl.Range{Filename: file, Start: hcl.Pos{Byte: at}, End: hcl.Pos{Byte: min(at+1, len(data))}}
}

// tooDeep returns the byte where nesting passes maxDepth, -1 if it never does. Brackets, quotes and templates open a level;
// an operator, index or step of a reference counts in its level until the comma or line that ends its expression.
func tooDeep(tokens hclsyntax.Tokens) int {
	type level struct {
		close   hclsyntax.TokenType
		pending int
	}
	open, depth := []level{{}}, 0
	for _, t := range tokens {
		top := &open[len(open)-1]
		switch {
		case t.Type == hclsyntax.TokenComma,
			t.Type == hclsyntax.TokenNewline && (top.close == 0 || top.close == hclsyntax.TokenCBrace):
			depth -= top.pending
			top.pending = 0
		case operators[t.Type]:
			top.pending++
			depth++
		}
		if end, ok := closers[t.Type]; ok {
			open = append(open, level{close: end})
			depth++
		} else if len(open) > 1 && t.Type == top.close {
			depth -= top.pending + 1
			open = open[:len(open)-1]
		}
		if depth > maxDepth {
			return t.Range.Start.Byte
		}
	}
	return -1
}

// maxPieces bounds the pieces of one text: the parser puts them together one by one, each time anew.
const maxPieces = 1000

// inPieces returns the byte where a text passes maxPieces, -1 if none does. A line of it and a sign like % each are a piece.
func inPieces(tokens hclsyntax.Tokens) int {
	pieces := 0
	for _, t := range tokens {
		if t.Type != hclsyntax.TokenQuotedLit && t.Type != hclsyntax.TokenStringLit {
			pieces = 0
		} else if pieces++; pieces > maxPieces {
			return t.Range.Start.Byte
		}
	}
	return -1
}

var closers = map[hclsyntax.TokenType]hclsyntax.TokenType{
	hclsyntax.TokenOBrace: hclsyntax.TokenCBrace, hclsyntax.TokenOBrack: hclsyntax.TokenCBrack,
	hclsyntax.TokenOParen: hclsyntax.TokenCParen, hclsyntax.TokenOQuote: hclsyntax.TokenCQuote,
	hclsyntax.TokenOHeredoc: hclsyntax.TokenCHeredoc, hclsyntax.TokenTemplateInterp: hclsyntax.TokenTemplateSeqEnd,
	hclsyntax.TokenTemplateControl: hclsyntax.TokenTemplateSeqEnd,
}

var operators = map[hclsyntax.TokenType]bool{
	hclsyntax.TokenStar: true, hclsyntax.TokenSlash: true, hclsyntax.TokenPlus: true, hclsyntax.TokenMinus: true,
	hclsyntax.TokenPercent: true, hclsyntax.TokenEqualOp: true, hclsyntax.TokenNotEqual: true, hclsyntax.TokenLessThan: true,
	hclsyntax.TokenLessThanEq: true, hclsyntax.TokenGreaterThan: true, hclsyntax.TokenGreaterThanEq: true,
	hclsyntax.TokenAnd: true, hclsyntax.TokenOr: true, hclsyntax.TokenBang: true, hclsyntax.TokenDot: true,
	hclsyntax.TokenQuestion: true, hclsyntax.TokenColon: true, hclsyntax.TokenOBrack: true, hclsyntax.TokenTemplateControl: true,
}
