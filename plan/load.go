package plan

import (
	"time"

	"github.com/hashicorp/hcl/v2"
	"github.com/hashicorp/hcl/v2/hclsyntax"
	"github.com/zclconf/go-cty/cty"

	"github.com/rigslate/rigslate/plan/finding"
)

// loader carries one reading of a plan from text to cells. Its methods add findings and go on, so that one pass finds everything.
type loader struct {
	plan     *Plan
	now      time.Time
	findings finding.List
	lines    map[string]*lines // by file as given
	first    string            // the first file, for findings about what is nowhere

	blocks  []*hclsyntax.Block // of all files that parse, in order of reading
	scope   scope
	lets    map[string]*let
	vars    map[string]cty.Value
	checked map[hclsyntax.Expression]bool // references and functions of it are known to be right or wrong
	extents map[string]extent             // of what references name
	spent   float64                       // on evaluating, as reckoned
	held    int                           // values in lets
	bytes   int                           // of plan files

	// What cannot be read hides declarations: where a file is broken, nothing is said about what seems to be missing.
	partial bool
	broken  map[string]bool // files with errors of syntax: only their labels count
	// Where declarations or matrix blocks have errors, nothing is said about what is in the matrix.
	cellsKnown bool
	// Where soaks or sweeps have errors, nothing is said about what they seem to lack.
	soaksKnown bool

	takes    Takes
	accept   Accept
	baseline finding.Place
	written  map[string]any // plan.json
}

// Load reads the plan from files and folders: all *.hcl directly in a folder, by name, form one plan with the files given. The
// findings come sorted, all of one pass. The error is for files that cannot be read at all. Where findings hold an error the
// plan is as far as it got, without cells and without JSON.
func Load(paths []string, now time.Time) (*Plan, finding.List, error) {
	files, dir, empty, err := planFiles(paths)
	if err != nil {
		return nil, nil, err
	}
	l := newLoader(dir, now)
	for _, folder := range empty {
		l.findings.Add(finding.Error, finding.Place{File: folder}, "Folder holds no plan",
			"No *.hcl lies directly in it.", "Name the folder or file that holds the plan.")
	}
	var bodies []*hclsyntax.Body
	for _, file := range files {
		data, ok, err := readBounded(file)
		if err != nil {
			return nil, nil, err
		}
		if !ok {
			l.tooLarge(file)
			continue
		}
		bodies = append(bodies, l.parse(Source{Path: file, Bytes: data}))
	}
	l.read(bodies)
	return l.plan, l.findings.Tidy(), nil
}

// Read is Load of files that are at hand, in their order, as though they lay in dir. It opens nothing.
func Read(files []Source, dir string, now time.Time) (*Plan, finding.List) {
	l := newLoader(dir, now)
	var bodies []*hclsyntax.Body
	for _, f := range files {
		bodies = append(bodies, l.parse(f))
	}
	l.read(bodies)
	return l.plan, l.findings.Tidy()
}

func newLoader(dir string, now time.Time) *loader {
	return &loader{
		plan:    &Plan{Dir: dir},
		now:     now,
		lines:   map[string]*lines{},
		broken:  map[string]bool{},
		checked: map[hclsyntax.Expression]bool{},
		extents: map[string]extent{},
		takes:   DefaultTakes(),
		accept:  Accept{MaxSpread: DefaultMaxSpread},
		written: map[string]any{},
	}
}

// read takes the plan from its parsed files: names first, since any file may refer to any other, then what is said of them.
func (l *loader) read(bodies []*hclsyntax.Body) {
	l.collect(bodies)
	l.declare()
	l.evaluateLets()

	l.cellsKnown = !l.partial
	l.plan.Statistics = defaultStatistics()
	l.each("review", l.review)
	l.each("accept", l.reviewAccept)
	l.each("statistics", l.statistics)
	l.eachDeclaring("rig", l.rig)
	l.eachDeclaring("card", l.card)
	l.eachDeclaring("game", l.game)
	l.eachDeclaring("resolution", l.resolution)
	before := l.findings.Count(finding.Error)
	l.each("soak", l.soak)
	l.each("sweep", l.sweep)
	l.soaksKnown = l.findings.Count(finding.Error) == before && l.soakFilesApart() && !l.partial
	l.eachDeclaring("matrix", l.matrix)
	l.checkPresence()
	l.expand()
	l.checkMatrix()
	l.each("files", l.files)
	l.each("void", l.void)
	l.each("vouch", l.vouch)
	l.each("control", l.control)
	l.each("reuse", l.reuse)
	l.each("reading", l.reading)
	l.each("claim", l.claim)
	l.each("look", l.look)
	l.checkProbes()
	l.checkWhole()

	if l.findings.HasErrors() {
		l.plan.Cells = nil
		return
	}
	l.checkGiveaways()
	l.plan.JSON = l.resolved()
}

// each hands every block of one kind to its reader.
func (l *loader) each(kind string, read func(*block)) {
	for _, b := range l.blocks {
		if b.Type == kind && !l.broken[b.TypeRange.Filename] {
			if o := l.openAt("", "", b, read); !o.again {
				keepIn(l.written, kind, o)
			}
		}
	}
}

// eachDeclaring is each for what the matrix is made of: an error there leaves the cells unknown.
func (l *loader) eachDeclaring(kind string, read func(*block)) {
	before := l.findings.Count(finding.Error)
	l.each(kind, read)
	if l.findings.Count(finding.Error) > before {
		l.cellsKnown = false
	}
}

func (l *loader) place(r hcl.Range) finding.Place {
	if t := l.lines[r.Filename]; t != nil {
		return t.place(r)
	}
	return finding.Place{File: r.Filename}
}

func (l *loader) error(at hcl.Range, summary, detail, mend string) {
	l.errorAt(l.place(at), summary, detail, mend)
}

func (l *loader) warning(at hcl.Range, summary, detail, mend string) {
	l.warningAt(l.place(at), summary, detail, mend)
}

func (l *loader) errorAt(at finding.Place, summary, detail, mend string) {
	l.add(finding.Error, at, summary, detail, mend)
}

func (l *loader) warningAt(at finding.Place, summary, detail, mend string) {
	l.add(finding.Warning, at, summary, detail, mend)
}

// add leaves out what only follows from a file's broken syntax; that itself is added before the file counts as broken.
func (l *loader) add(s finding.Severity, at finding.Place, summary, detail, mend string) {
	if !l.broken[at.File] {
		l.findings.Add(s, at, summary, detail, mend)
	}
}
