package explain

import (
	"bytes"
	"encoding/json"
	"fmt"
	"go/ast"
	"go/constant"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

const module = "github.com/rigslate/rigslate/"

// given are the types whose values are the words of tables and screens. A word of any of them that stands in the program's text is
// one that it can give.
var given = []string{module + "compute.Verdict", module + "compute.Judged", module + "compute.Flag", module + "compute.CapKind", module + "compute/thermal.State", module + "compute/sound.Treatment",
	module + "plan/coverage.Kind", module + "cmd/internal/review.Status",
	module + "compute/bridge.Reserve", module + "export/history.Comparability", module + "export/history.Change", module + "export/changes.Word"}

// made are the places that make a word out of a text that is not in the program: of the bench log's outcomes and the ledger's facts,
// which their packages hold to their entries, and of an edition's flags and verdicts, which its review gave.
var made = []string{"coverage.Kind(c.Field)", "coverage.Kind(f.name)", "coverage.Kind(row.Outcome)", "compute.Flag(word)",
	"compute.Verdict(deref(verdict))", "compute.Verdict(deref(r.Verdict))", "compute.Verdict(text(d.Verdict))", "compute.Verdict(text(s.Verdict))"}

// The program is read as the compiler reads it: every constant of a type of words, in whatever package, must have an entry. That each
// entry is given by some review is what TestExamples shows.
func TestEveryWordOfTheProgramIsExplained(t *testing.T) {
	entries := map[string]bool{}
	for _, e := range Entries() {
		entries[e.Name] = true
	}
	p := readProgram(t)
	found := map[string]int{}
	for _, info := range p.infos {
		for e, v := range info.Types {
			name := types.TypeString(types.Unalias(v.Type), nil)
			if !slices.Contains(given, name) {
				continue
			}
			switch {
			case v.IsType() || v.Value == nil:
			case constant.StringVal(v.Value) != "":
				found[name]++
				word := constant.StringVal(v.Value)
				if !entries[word] {
					t.Errorf("%s: %q is a %s without an entry", p.files.Position(e.Pos()), word, name)
				}
			}
			if call, ok := e.(*ast.CallExpr); ok && v.Value == nil && info.Types[call.Fun].IsType() {
				if text := types.ExprString(e); !slices.Contains(made, text) {
					t.Errorf("%s: %s makes a word out of a text; nothing says that it has an entry", p.files.Position(e.Pos()), text)
				}
			}
		}
	}
	for _, name := range given {
		if found[name] == 0 {
			t.Errorf("no word of type %s is in the program", name)
		}
	}
}

// program is the source of this module's packages, type-checked.
type program struct {
	files *token.FileSet
	infos []*types.Info
}

// readProgram takes what the command is made of, since what it does not reach it cannot give, and checks each package against the compiled form of those it imports, which the build cache has.
func readProgram(t *testing.T) program {
	t.Helper()
	command := exec.Command("go", "list", "-export", "-deps", "-json=ImportPath,Export,Dir,GoFiles", "./cmd/rigslate")
	command.Dir = "../../.."
	command.Stderr = os.Stderr
	out, err := command.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	type listed struct {
		ImportPath, Export, Dir string
		GoFiles                 []string
	}
	exports := map[string]string{}
	var own []listed
	for d := json.NewDecoder(bytes.NewReader(out)); ; {
		var l listed
		if err := d.Decode(&l); err == io.EOF {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		exports[l.ImportPath] = l.Export
		if strings.HasPrefix(l.ImportPath, module) {
			own = append(own, l)
		}
	}
	p := program{files: token.NewFileSet()}
	imports := importer.ForCompiler(p.files, "gc", func(path string) (io.ReadCloser, error) {
		if exports[path] == "" {
			return nil, fmt.Errorf("%s is not compiled", path)
		}
		return os.Open(exports[path])
	})
	for _, l := range own {
		var files []*ast.File
		for _, name := range l.GoFiles {
			f, err := parser.ParseFile(p.files, filepath.Join(l.Dir, name), nil, parser.SkipObjectResolution)
			if err != nil {
				t.Fatal(err)
			}
			files = append(files, f)
		}
		info := &types.Info{Types: map[ast.Expr]types.TypeAndValue{}}
		if _, err := (&types.Config{Importer: imports}).Check(l.ImportPath, p.files, files, info); err != nil {
			t.Fatalf("%s: %v", l.ImportPath, err)
		}
		p.infos = append(p.infos, info)
	}
	return p
}
