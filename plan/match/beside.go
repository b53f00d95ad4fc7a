package match

import (
	"fmt"
	"time"

	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
)

// Beside is a file that lies beside a capture, or the lack of one.
type Beside struct {
	Path string // "" where there is none
	Why  string // there is none
}

// besideFrames is a file that some sensors blocks mean, with what each makes of its name.
type besideFrames struct {
	path     string
	meanings []besideMeaning
}

type besideMeaning struct {
	block, sensors int
	meaning
}

// compileSensors compiles the paths of what lies beside the frames of a block.
func compileSensors(ix *index, f *plan.Files, l *finding.List) (all []*pattern) {
	for _, s := range f.Sensors {
		all = append(all, compile(ix, &plan.Files{Name: f.Name, Path: s.Path, PathPlace: s.PathPlace}, l))
	}
	return all
}

// isBeside reports whether a file that is no capture is named as one that lies beside a capture.
func (f *finder) isBeside(e *entry) bool {
	b := besideFrames{path: e.path}
	for i, pts := range f.sensors {
		for j, pt := range pts {
			if pt == nil {
				continue
			}
			ms, _ := pt.meanings(f.ix, e.path, plan.Key{}, false)
			for _, m := range ms {
				b.meanings = append(b.meanings, besideMeaning{i, j, m})
			}
		}
	}
	if len(b.meanings) == 0 {
		return false
	}
	f.beside = append(f.beside, b)
	return true
}

// pair finds for each file that lies beside a capture which one that is, and for each capture what is lacking.
func (f *finder) pair() {
	type cell struct {
		files *plan.Files
		key   plan.Key
	}
	captures := map[cell][]*File{}
	for i := range f.found.Files {
		c := &f.found.Files[i]
		if n := len(c.Files.Sensors); n > 0 {
			c.Beside = make([]Beside, n)
		}
		captures[cell{c.Files, c.Key}] = append(captures[cell{c.Files, c.Key}], c)
	}
	for _, b := range f.beside {
		of := map[*File]int{}
		for _, m := range b.meanings {
			for _, c := range captures[cell{&f.plan.Files[m.block], m.key}] {
				if m.isOf(c) {
					of[c] = m.sensors
				}
			}
		}
		if len(of) == 0 {
			f.found.Strays = append(f.found.Strays, Stray{Path: b.path, Why: fmt.Sprintf("lies beside %s, of which there is no capture", b.meanings[0].meaning)})
		}
		for c, at := range of {
			f.layBeside(c, at, b.path, len(of))
		}
	}
	for i := range f.found.Files {
		c := &f.found.Files[i]
		for at, s := range c.Files.Sensors {
			if b := &c.Beside[at]; b.Path == "" && b.Why == "" {
				b.Why = "no file of the form " + s.Path + " is of it"
			}
		}
	}
}

// layBeside enters a file at its capture. Two for one capture, or one for several, are none: nothing tells which is meant.
func (f *finder) layBeside(c *File, at int, path string, captures int) {
	b := &c.Beside[at]
	switch {
	case captures > 1:
		*b = Beside{Why: path + " may lie beside another capture too"}
	case b.Why != "":
	case b.Path != "":
		*b = Beside{Why: fmt.Sprintf("both %s and %s may lie beside it", b.Path, path)}
	default:
		b.Path = path
	}
}

// isOf reports whether a name may be that of what lies beside a capture of its cell: what both names say of the pass must agree, and
// where neither says anything the cell has one pass.
func (m meaning) isOf(c *File) bool {
	var t time.Time
	if m.stamp != "" {
		t = m.time()
	}
	return (m.repeat == 0 || m.repeat == c.Repeat) && (m.stamp == "" || t.Equal(c.Time))
}
