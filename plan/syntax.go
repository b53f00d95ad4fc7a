package plan

import (
	"fmt"
	"unicode/utf8"

	"github.com/hashicorp/hcl/v2"
	"github.com/hashicorp/hcl/v2/hclsyntax"

	"github.com/rigslate/rigslate/plan/finding"
)

// maxDepth bounds how deeply brackets, operators and templates may nest: the parser calls itself for each.
const maxDepth = 200

const unreadable = "Plan text cannot be read"

// parse reads one file. A file with an error of syntax marks the plan as partial; its labels still count as declared.
func (l *loader) parse(src Source) *hclsyntax.Body {
	l.plan.Sources = append(l.plan.Sources, src)
	if l.first == "" {
		l.first = src.Path
	}
	t := newLines(src.Bytes)
	l.lines[src.Path] = t
	if !utf8.ValidString(t.data) {
		l.partial = true
		at := 0
		for at < len(t.data) {
			r, n := utf8.DecodeRuneInString(t.data[at:])
			if r == utf8.RuneError && n == 1 {
				break
			}
			at += n
		}
		l.error(rangeAt(src.Path, t.data, at), "Plan is not UTF-8", fmt.Sprintf("Byte 0x%02x does not belong to a character.", t.data[at]),
			"Save the file as UTF-8.")
		return nil
	}
	data := []byte(t.data)
	if at := tooDeep(data); at >= 0 {
		l.partial = true
		l.error(rangeAt(src.Path, t.data, at), "Nested too deeply", fmt.Sprintf("More than %d levels are open here.", maxDepth),
			"Give the inner parts names in a let block.")
		return nil
	}
	f, diags := hclsyntax.ParseConfig(data, src.Path, hcl.InitialPos)
	broken := l.syntax(diags)
	body, _ := f.Body.(*hclsyntax.Body)
	if broken {
		l.partial = true
		if body != nil {
			body.Attributes = nil // only labels are taken from it
		}
	}
	return body
}

// syntax turns the parser's words into ours. An argument written twice leaves the file readable; anything else does not.
func (l *loader) syntax(diags hcl.Diagnostics) (broken bool) {
	for _, d := range diags {
		if d.Subject == nil {
			continue
		}
		if d.Summary == "Attribute redefined" {
			l.error(*d.Subject, "Written twice", "The same argument stands above in this block.", "Delete one of them.")
			continue
		}
		broken = true
		detail, ok := syntaxCause[d.Summary]
		if !ok {
			detail = [2]string{"Something else is expected here.", "One argument stands on a line, as NAME = VALUE; blocks are NAME \"label\" { … }."}
		}
		l.error(*d.Subject, unreadable, detail[0], detail[1])
	}
	if !broken && diags.HasErrors() && l.findings.Count(finding.Error) == 0 {
		return true
	}
	return broken
}

// rangeAt is the one character at a byte of a text that the parser never saw.
func rangeAt(file, data string, at int) hcl.Range {
	line := 1
	for i := range at {
		if data[i] == '\n' {
			line++
		}
	}
	return hcl.Range{Filename: file, Start: hcl.Pos{Line: line, Byte: at}, End: hcl.Pos{Line: line, Byte: min(at+1, len(data))}}
}

// tooDeep returns the byte where nesting passes maxDepth, -1 if it never does. Brackets, quotes and templates open a level;
// an operator, index or step of a reference counts in its level until the comma or line that ends its expression.
func tooDeep(data []byte) int {
	type level struct {
		close   hclsyntax.TokenType
		pending int
	}
	open, depth := []level{{}}, 0
	tokens, _ := hclsyntax.LexConfig(data, "", hcl.InitialPos)
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
