package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"go/types"
	"maps"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// floors are the packages of this module from the lowest to the highest. A package imports only what stands before it.
// Those of one line do not know each other.
var floors = [][]string{
	{"profile/length", "profile/bed", "profile/abreast", "profile/accord", "profile/bar"},
	{"profile/document", "profile/wear"},
	{"profile/form", "profile/survey"},
	{"profile/estimate"},
	{"profile/entry", "profile"},
	{"profile/collars"},
	{"compensate/bend"},
	{"compensate/work"},
	{"compensate"},
	{"compensate/setup", "compensate/jobfile", "compensate/cause"},
	{"compensate/plan", "compensate/exercise"},
	{"cmd/wornway/internal/safe"},
	{"cmd/wornway/internal/word", "cmd/wornway/internal/refuse", "cmd/wornway/internal/answer",
		"cmd/wornway/internal/disk", "cmd/wornway/internal/door", "cmd/wornway/internal/invented",
		"cmd/wornway/internal/lesson",
		"cmd/wornway/internal/paper", "cmd/wornway/internal/plot", "cmd/wornway/internal/show"},
	{"cmd/wornway/internal/env", "cmd/wornway/internal/guide", "cmd/wornway/internal/shop"},
	{"cmd/wornway/internal/say", "cmd/wornway/internal/figure", "cmd/wornway/internal/sheet"},
	{"cmd/wornway/internal/flags", "cmd/wornway/internal/listing"},
	{"cmd/wornway/internal/turning", "cmd/wornway/internal/ways", "cmd/wornway/internal/ask"},
	{"cmd/wornway/internal/testcut", "cmd/wornway/internal/making", "cmd/wornway/internal/card",
		"cmd/wornway/internal/blank", "cmd/wornway/internal/chapters"},
	{"cmd/wornway/internal/classroom", "cmd/wornway/internal/page"},
	{"cmd/wornway"},
}

// No import runs back up, and every package has its floor.
func TestFloors(t *testing.T) {
	floor := map[string]int{}
	for i, names := range floors {
		for _, n := range names {
			floor["wornway/"+n] = i
		}
	}
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "wornway/...").Output()
	if err != nil {
		t.Fatal(err)
	}
	listed := map[string]bool{}
	for line := range strings.Lines(string(out)) {
		words := strings.Fields(line)
		at, known := floor[words[0]]
		listed[words[0]] = true
		if !known {
			if words[0] != "wornway/profile/study" && !strings.HasPrefix(words[0], "wornway/testdata/") {
				t.Errorf("%s has no floor: name it in floors", words[0])
			}
			continue
		}
		for _, imported := range words[1:] {
			if below, ours := floor[imported]; ours && below >= at {
				t.Errorf("%s imports %s, which does not lie below it", words[0], imported)
			}
		}
	}
	for name := range maps.Keys(floor) {
		if !listed[name] {
			t.Errorf("%s is named in floors, and there is no such package", name)
		}
	}
}

// Tests that draw cases draw the same in every ordinary run.
func TestPropertiesAreSteady(t *testing.T) {
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .TestImports " "}} {{join .XTestImports " "}}`,
		"wornway/...").Output()
	if err != nil {
		t.Fatal(err)
	}
	drawing := 0
	for line := range strings.Lines(string(out)) {
		words := strings.Fields(line)
		if slices.Contains(words, "pgregory.net/rapid") {
			if drawing++; !slices.Contains(words, "wornway/testdata/steady") {
				t.Errorf("%s: its property tests do not import wornway/testdata/steady", words[0])
			}
		}
	}
	if drawing < 10 {
		t.Errorf("%d packages with property tests: this test does not see them", drawing)
	}
}

// shared are the files of the program that are no command's own: root.go puts the commands together, and none of these
// is used by a command.
var shared = []string{"main.go", "root.go", "help.go", "flags.go"}

// A command's file uses nothing that another file of the program declares; what two commands share lies in a package
// below both.
func TestCommandsKeepToThemselves(t *testing.T) {
	names, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	fset := token.NewFileSet()
	var files []*ast.File
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(fset, name, nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, f)
	}
	// What is imported is of no interest, and left unknown.
	info := &types.Info{Uses: map[*ast.Ident]types.Object{}}
	config := types.Config{Error: func(error) {}, Importer: nothing{}}
	pkg, _ := config.Check("main", fset, files, info)
	commands, uses := 0, 0
	in := func(p token.Pos) string { return fset.Position(p).Filename }
	for _, f := range files {
		if name := in(f.Package); !slices.Contains(shared, name) {
			commands++
			if len(files) > 0 && pkg.Scope().Lookup("new"+camel(name)) == nil {
				t.Errorf("%s declares no new%s: a file of the program is a command's, or named in shared",
					name, camel(name))
			}
		}
	}
	for id, o := range info.Uses {
		from := in(id.Pos())
		if o.Pkg() != pkg || o.Pos() == token.NoPos || in(o.Pos()) == from {
			continue
		}
		uses++
		if !slices.Contains(shared, from) {
			t.Errorf("%s uses %s of %s", fset.Position(id.Pos()), o.Name(), in(o.Pos()))
		}
	}
	if commands < 16 || uses < commands {
		t.Errorf("%d commands, used %d times: this test does not see them", commands, uses)
	}
}

// camel is the name of a file as the function that makes its command has it.
func camel(file string) string {
	name := strings.TrimSuffix(file, ".go")
	return strings.ToUpper(name[:1]) + name[1:]
}

// nothing imports empty packages.
type nothing struct{}

func (nothing) Import(path string) (*types.Package, error) {
	p := types.NewPackage(path, filepath.Base(path))
	p.MarkComplete()
	return p, nil
}
