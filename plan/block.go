package plan

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/hashicorp/hcl/v2"
	"github.com/hashicorp/hcl/v2/hclsyntax"

	"github.com/rigslate/rigslate/plan/finding"
)

// block is a block with its label and the blocks inside.
type block struct {
	*fields
	name   string    // the label
	nameAt hcl.Range // the block's kind where it has no label
	header hcl.Range
	inner  []*hclsyntax.Block
	again  bool // the name is taken: it is read for its findings only
}

// collect takes the blocks of all files and says what else stands at the top.
func (l *loader) collect(bodies []*hclsyntax.Body) {
	for _, body := range bodies {
		if body == nil {
			continue
		}
		for _, a := range sortedAttributes(body) {
			mend := "Put it into the block it belongs to."
			if slices.Contains(shapes[""].blocks, a.Name) {
				mend = fmt.Sprintf("Write it as a block: %s { … }.", a.Name)
			}
			l.error(a.NameRange, "Argument outside a block", fmt.Sprintf("%s stands by itself.", a.Name), mend)
		}
		l.blocks = append(l.blocks, body.Blocks...)
	}
	l.blocks = l.knownBlocks("", "The plan", l.blocks, nil)
}

// knownBlocks drops, with a finding, the blocks that cannot stand there or whose label is missing or too much.
func (l *loader) knownBlocks(path, where string, blocks []*hclsyntax.Block, arguments []string) []*hclsyntax.Block {
	var known []*hclsyntax.Block
	first := map[string]hcl.Range{}
	for _, b := range blocks {
		if b.Body == nil {
			continue // its error of syntax is reported
		}
		if !slices.Contains(shapes[path].blocks, b.Type) {
			mend := didYouMean(b.Type, shapes[path].blocks)
			switch {
			case slices.Contains(arguments, b.Type):
				mend = fmt.Sprintf("Write it as an argument: %s = { … }.", b.Type)
			case mend == "":
				mend = "No block can stand here."
			}
			l.error(b.TypeRange, "Unknown block", fmt.Sprintf("%s has no block %s.", where, quote(b.Type)), mend)
			continue
		}
		s := shapes[inside(path, b.Type)]
		if !l.labels(b, s) {
			continue
		}
		if at, again := first[b.Type]; again && s.onlyOnce {
			l.error(b.TypeRange, "Block may stand only once", fmt.Sprintf("%s has a block %s at %s.", where, b.Type, l.place(at)), "Join the two.")
			continue
		}
		first[b.Type] = b.TypeRange
		known = append(known, b)
	}
	return known
}

func inside(path, kind string) string {
	if path == "" {
		return kind
	}
	return path + "/" + kind
}

func (l *loader) labels(b *hclsyntax.Block, s shape) bool {
	want := 0
	if s.label != unlabelled {
		want = 1
	}
	switch {
	case len(b.Labels) < want:
		l.error(b.TypeRange, "Label is missing", fmt.Sprintf("A block %s has a label.", b.Type), fmt.Sprintf(`Write %s "label" { … }.`, b.Type))
	case len(b.Labels) > want && want == 0:
		l.error(b.LabelRanges[0], "Label is too much", fmt.Sprintf("A block %s has no label.", b.Type), fmt.Sprintf("Write %s { … }.", b.Type))
	case len(b.Labels) > want:
		l.error(b.LabelRanges[1], "Label is too much", fmt.Sprintf("A block %s has one label.", b.Type), "Delete the second.")
	case s.label == named:
		l.label(b.Labels[0], b.LabelRanges[0]) // a wrong one is reported; the block is still read
		return true
	default:
		return true
	}
	return false
}

// declare registers every name that can be referred to, also those of files with errors of syntax, and finds names used twice.
func (l *loader) declare() {
	l.scope = scope{names: map[string][]string{}, members: map[string][]string{}, badLets: map[string]bool{},
		taken: map[*hclsyntax.Block]bool{}, order: map[ref]int{}}
	at := map[string]hcl.Range{}
	for _, b := range l.blocks {
		if shapes[b.Type].label == unlabelled {
			continue
		}
		key := b.Type + " " + b.Labels[0]
		if first, again := at[key]; again {
			mend := "Rename one of them."
			if shapes[b.Type].label == pathed {
				mend = "Delete one of them."
			}
			l.error(b.LabelRanges[0], "Name used twice", fmt.Sprintf("%s %s is declared at %s.", b.Type, quote(b.Labels[0]), l.place(first)), mend)
			l.scope.taken[b] = true
			continue
		}
		at[key] = b.LabelRanges[0]
		l.scope.names[b.Type] = append(l.scope.names[b.Type], b.Labels[0])
		if memberWord[b.Type] != "" {
			l.scope.declareMembers(b)
		}
	}
	l.scope.rank()
	l.declareLets()
	l.vars = l.scope.context()
}

func (s *scope) declareMembers(b *hclsyntax.Block) {
	key, word := b.Type+"."+b.Labels[0], memberWord[b.Type]
	for _, m := range b.Body.Blocks {
		if m.Type == word && len(m.Labels) > 0 && !slices.Contains(s.members[key], m.Labels[0]) {
			s.members[key] = append(s.members[key], m.Labels[0])
		}
	}
	if len(s.members[key]) == 0 {
		s.members[key] = []string{implied[b.Type]}
	}
}

// implied is the one member of a card or game that declares none.
var implied = map[string]string{"card": "stock", "game": "plain"}

// openAt reads a block; path and where are those of the block around it, "" at the top.
func (l *loader) openAt(path, where string, b *hclsyntax.Block, read func(*block)) *block {
	path = inside(path, b.Type)
	s := shapes[path]
	o := &block{header: b.DefRange(), nameAt: b.TypeRange, again: l.scope.taken[b]}
	what := b.Type
	if s.label != unlabelled {
		o.name, o.nameAt = b.Labels[0], b.LabelRanges[0]
		what += " " + quote(o.name)
	}
	if where != "" {
		what += " of " + where
	}
	var es []entry
	for _, a := range sortedAttributes(b.Body) {
		es = append(es, entry{key: a.Name, keyAt: a.NameRange, node: exprNode(a.Expr)})
	}
	o.fields = l.fieldsOf(s, what, o.header, es, s.blocks)
	o.inner = l.knownBlocks(path, what, b.Body.Blocks, s.known())
	read(o)
	return o
}

// members reads the inner blocks of one kind, finds names used twice, and records what was written.
func (b *block) members(path, kind string, read func(*block)) {
	seen := map[string]hcl.Range{}
	for _, in := range b.inner {
		if in.Type != kind {
			continue
		}
		again := false
		if s := shapes[inside(path, kind)]; s.label != unlabelled {
			first, taken := seen[in.Labels[0]]
			if again = taken; taken {
				b.l.error(in.LabelRanges[0], "Name used twice", fmt.Sprintf("%s %s is declared at %s.", kind, quote(in.Labels[0]), b.l.place(first)),
					"Rename one of them.")
			} else {
				seen[in.Labels[0]] = in.LabelRanges[0]
			}
		}
		b.l.openAt(path, b.what, in, func(o *block) {
			o.again = again
			read(o)
			if !again {
				keepIn(b.out, kind, o)
			}
		})
	}
}

// keepIn records what a block wrote: by its label, as a list where it has none, alone where it may stand only once.
func keepIn(out map[string]any, kind string, o *block) {
	switch {
	case o.shape.label != unlabelled:
		named, _ := out[kind].(map[string]any)
		if named == nil {
			named = map[string]any{}
			out[kind] = named
		}
		named[o.name] = o.out
	case o.shape.onlyOnce:
		out[kind] = o.out
	default:
		list, _ := out[kind].([]any)
		out[kind] = append(list, o.out)
	}
}

func (b *block) at() finding.Place { return b.l.place(b.header) }

func sortedAttributes(body *hclsyntax.Body) []*hclsyntax.Attribute {
	var as []*hclsyntax.Attribute
	for _, a := range body.Attributes {
		as = append(as, a)
	}
	slices.SortFunc(as, func(a, b *hclsyntax.Attribute) int { return cmp.Compare(a.SrcRange.Start.Byte, b.SrcRange.Start.Byte) })
	return as
}
