package main

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/guide"
	"wornway/cmd/wornway/internal/invented"
	"wornway/cmd/wornway/internal/turning"
	"wornway/profile"
	"wornway/profile/survey"
)

var updateReadme = flag.Bool("update-readme", false,
	"rewrite the answers of the commands shown in README.md and in the guide")

const (
	readmeFile  = "../../README.md"
	guideFolder = "internal/guide"
	elided      = "…" // a line of its own in an answer stands for any number of lines
)

// page is the README or a page of the guide, with what its blocks are.
type page struct {
	name   string // for errors
	path   string
	lines  []string
	blocks []readmeBlock
}

// documents reads the README, first, and the guide.
func documents(t *testing.T) []page {
	t.Helper()
	paths := []string{readmeFile}
	for _, topic := range guide.Topics() {
		paths = append(paths, filepath.Join(guideFolder, topic.Name+".md"))
	}
	if pages, err := filepath.Glob(filepath.Join(guideFolder, "*.md")); err != nil || len(pages) != len(paths)-1 {
		t.Errorf("%d pages lie in the guide's folder and %d are topics: %v", len(pages), len(paths)-1, err)
	}
	var out []page
	for _, path := range paths {
		path, err := filepath.Abs(path)
		if err != nil {
			t.Fatal(err)
		}
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		d := page{name: filepath.Base(path), path: path, lines: strings.Split(string(text), "\n")}
		if d.blocks, err = readmeBlocks(d.lines); err != nil {
			t.Fatalf("%s: %v", d.name, err)
		}
		out = append(out, d)
	}
	return out
}

// files are what the blocks of a document show of files, by their names.
func (d page) files(t *testing.T) map[string][]byte {
	t.Helper()
	out := map[string][]byte{}
	for _, b := range d.blocks {
		content := []byte(strings.Join(d.lines[b.first:b.last], "\n") + "\n")
		switch {
		case b.file != "":
			out[b.file] = content
		case b.language == "toml":
			t.Errorf("%s:%d: a profile needs a name, in a comment before its block", d.name, b.first)
		}
	}
	return out
}

// Every command that the README and the guide show is run, and its answer compared: the README's in a folder that holds
// its own profiles and the samples, those of a page of the guide where the README's and all pages' files lie, and the
// demonstration lathe with its shaft.
func TestReadmeCommands(t *testing.T) {
	alongside(t)
	all := map[string][]byte{"demo.toml": invented.Lathe, "shaft.toml": invented.Shaft}
	docs := documents(t)
	for _, d := range docs {
		for name, content := range d.files(t) {
			if other, twice := all[name]; twice && !bytes.Equal(other, content) {
				t.Errorf("%s: the file %s is another one elsewhere", d.name, name)
			}
			all[name] = content
		}
	}
	shown := map[string]bool{}
	for i, d := range docs {
		t.Run(d.name, func(t *testing.T) {
			own(t)
			files := all
			if i == 0 {
				files = d.files(t)
			}
			samples, err := filepath.Abs("../../testdata")
			if err != nil {
				t.Fatal(err)
			}
			dir := t.TempDir()
			if err := os.CopyFS(filepath.Join(dir, "testdata"), os.DirFS(samples)); err != nil {
				t.Fatal(err)
			}
			enter(t, dir)
			for name, content := range files {
				if err := os.WriteFile(name, content, 0o644); err != nil {
					t.Fatal(err)
				}
			}
			d.read(t)
			d.run(t, shown)
		})
	}
	for _, c := range newRoot(&env.Env{}).Commands() {
		if c.Name() == "help" || c.Name() == "completion" { // the library's own, told of in words
			continue
		}
		if !c.Hidden && !shown[c.Name()] {
			t.Errorf("neither README nor guide shows %s at work", c.Name())
		}
	}
}

// read reads the profiles, jobs and cuts that the document shows.
func (d page) read(t *testing.T) {
	t.Helper()
	for name, content := range d.files(t) {
		if filepath.Ext(name) == ".toml" {
			if warnings, err := readReadmeFile(name, content); err != nil {
				t.Errorf("%s: %s: %v", d.name, name, err)
			} else if len(warnings) > 0 {
				t.Errorf("%s: %s: with warnings %v", d.name, name, warnings)
			}
		}
		if !strings.Contains(strings.ToLower(string(content)), "invented") {
			t.Errorf("%s: %s does not say that it is invented", d.name, name)
		}
	}
}

// run runs the commands that the document shows, and notes which they are.
func (d page) run(t *testing.T, shown map[string]bool) {
	t.Helper()
	type change struct {
		from, to int
		answer   []string
	}
	var changes []change
	for _, b := range d.blocks {
		if b.last == b.first || !strings.HasPrefix(d.lines[b.first], "$ wornway ") {
			continue
		}
		args, want, err := readmeCommand(d.lines[b.first:b.last])
		if err != nil {
			t.Errorf("line %d: %v", b.first+1, err)
			continue
		}
		shown[args[0]] = true
		if testing.Short() && args[0] == "lesson" {
			continue // it computes hundreds of corrections
		}
		got := readmeAnswer(t, args, b.answers)
		if len(want) > 0 && !slices.ContainsFunc(want, func(l string) bool { return l != elided }) {
			t.Errorf("line %d: all of the answer is elided", b.first+1)
		}
		if *updateReadme {
			answer, err := renewAnswer(want, got)
			if err != nil {
				t.Errorf("line %d: %v; write it anew by hand", b.first+1, err)
				continue
			}
			changes = append(changes, change{b.last - len(want), b.last, answer})
		} else if !answerMatches(want, got) {
			t.Errorf("%s:%d: the answer of wornway %s is not what is shown; it is:\n%s\n(go test "+
				"./cmd/wornway -run Readme -update-readme rewrites it)",
				d.name, b.first+1, strings.Join(args, " "), strings.Join(got, "\n"))
		}
	}
	if *updateReadme && !t.Failed() {
		renewed := slices.Clone(d.lines)
		for _, c := range slices.Backward(changes) { // from the end, so that the lines before keep their numbers
			renewed = slices.Replace(renewed, c.from, c.to, c.answer...)
		}
		if err := os.WriteFile(d.path, []byte(strings.Join(renewed, "\n")), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// readmeAnswer runs a command and returns all that it writes, with its exit status in a last line where that is not 0.
// What it says of its progress, if the machine is slow, is left out.
func readmeAnswer(t testing.TB, args []string, stdin string) []string {
	t.Helper()
	var out bytes.Buffer
	a, is := answeredOnce(onTestDay, args)
	if out.WriteString(a.stdout + a.stderr); !is {
		a.status = execute(keeping(env.New(life(args), onTestDay, strings.NewReader(stdin), &out, &out)), args)
	}
	if a.status != env.ExitDone {
		fmt.Fprintf(&out, "(exit status %d)\n", a.status)
	}
	lines := strings.Split(strings.TrimSuffix(out.String(), "\n"), "\n")
	return slices.DeleteFunc(lines, func(l string) bool {
		return strings.HasPrefix(l, "wornway: ") &&
			strings.HasSuffix(l, " …")
	})
}

// guideItems are the items of the lists on a page of the guide, each on one line.
func guideItems(t *testing.T, topic string) []string {
	t.Helper()
	page, known := guide.Find(topic)
	if !known {
		t.Fatalf("no page on %s", topic)
	}
	var out []string
	inside := false
	for line := range strings.SplitSeq(page.Source(), "\n") {
		switch {
		case strings.HasPrefix(line, "- "):
			out, inside = append(out, line), true
		case inside && strings.HasPrefix(line, "  "):
			out[len(out)-1] += " " + strings.TrimSpace(line)
		default:
			inside = false
		}
	}
	return out
}

// The guide explains every key that describes a lathe or says how sure stated wear is, and every method of surveying
// with its columns.
func TestGuideExplainsEveryKey(t *testing.T) {
	items := append(guideItems(t, "profile"), guideItems(t, "readings")...)
	explains := func(name string) func(string) bool {
		return func(item string) bool {
			names, _, _ := strings.Cut(item, ": ")
			return strings.Contains(names, "`"+name+"`")
		}
	}
	for _, k := range append(profile.Keys(), profile.WearKeys()...) {
		name := k.Path[strings.LastIndexByte(k.Path, '.')+1:]
		if !slices.ContainsFunc(items, explains(name)) {
			t.Errorf("%s is not explained", k.Path)
		}
	}
	for _, m := range survey.Methods() {
		i := slices.IndexFunc(items, explains(m.Name))
		if i < 0 {
			t.Errorf("the method %s is not explained", m.Name)
			continue
		}
		sure := fmt.Sprintf("%.3g µm", m.U*1000)
		if m.Level {
			sure = fmt.Sprintf("%g division", m.U)
		}
		if want := "- `" + m.Name + "`: " + sure + "; " + m.Why; !slices.Contains(items, want) {
			t.Errorf("how sure a reading is, is not explained: %s", want)
		}
		for _, c := range m.Columns {
			if m.Name != "stated" && !strings.Contains(items[i], "`"+c+"`") {
				t.Errorf("the column %s of %s is not explained", c, m.Name)
			}
		}
	}
}

// The samples read without a fault or a warning, and each says in its first line that it is invented.
func TestSampleLathes(t *testing.T) {
	fsys := os.DirFS("../../testdata/lathes")
	names, err := filepath.Glob("../../testdata/lathes/*")
	if err != nil || len(names) < 3 {
		t.Fatalf("%v, %v", names, err)
	}
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if first, _, _ := strings.Cut(string(text), "\n"); !strings.HasPrefix(first, "#") ||
			!strings.Contains(first, "invented") {
			t.Errorf("%s: the first line does not say that it is invented", name)
		}
		if filepath.Ext(name) != ".toml" {
			continue
		}
		p, err := profile.Read(fsys, filepath.Base(name))
		if err != nil {
			t.Errorf("%s: %v", name, err)
		} else if len(p.Warnings) > 0 {
			t.Errorf("%s: with warnings %v", name, p.Warnings)
		}
	}
}

// From the CSV file to the JSON answer, for the lathe with the rear tool post, against a calculation by hand. The
// saddle's ends, 150 mm to either side of the tool, stand on rows of the file. Derived here.
//
// At 300 mm: front (0.067 + 0.055)/2 = 0.061, rear (0.028 + 0.027)/2 = 0.0275, shift (0.009 + 0.008)/2 = 0.0085; at 500
// mm: 0.0475, 0.023, 0.007. Out, for a rear post: −(0.0085 + 160·(0.061 − 0.0275)/240) = −0.0308333 and
// −(0.007 + 160·(0.0475 − 0.023)/240) = −0.0233333. Down, 120 + 20 mm behind the front way: 0.061 −
// 140·0.0335/240 = 0.0414583 and 0.0475 − 140·0.0245/240 = 0.0332083. So from 500 to 300 mm the point goes 0.0075
// in and 0.00825 down, and the diameter error is 2·(√(19.9925² + 0.00825²) − 20) = −0.0149966. Its standard
// uncertainty: each of the eight entries of front and rear counts with 2·160/240/2 = 2/3, each of the four of shift
// with 1, and 0.004·√(8·4/9 + 4) = 0.0109949. How the saddle sits is not known: a stiff one would roll further by
// half of what front less rear differs between its ends, |0.039 − 0.028|/2 at 300 mm and |0.040 − 0.009|/2 at 500
// mm, which is 160/240·2·0.01 = 0.0133333 on the diameter; by a second moment of 1/3 that is 0.0076980, and both
// together 0.0134219.
func TestSampleRearPostByHand(t *testing.T) {
	alongside(t)
	answer := readmeAnswer(t, strings.Fields("predict ../../testdata/lathes/rear-post.toml --from 300 --to 500 "+
		"--diameter 40 --every 100 --json"), "")
	var got turning.PredictJSON
	if err := json.Unmarshal([]byte(strings.Join(answer, "\n")), &got); err != nil {
		t.Fatalf("%v in %s", err, strings.Join(answer, "\n"))
	}
	if len(got.Stations) != 3 || got.Stations[0].Uncertainty == nil {
		t.Fatalf("stations %+v", got.Stations)
	}
	first, last := got.Stations[0], got.Stations[2]
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"tool out at 300", *first.ToolOut, -0.030833333}, {"tool out at 500", *last.ToolOut, -0.023333333},
		{"tool drop at 300", *first.ToolDrop, 0.041458333}, {"tool drop at 500", *last.ToolDrop, 0.033208333},
		{"error at 300", first.DiameterError, -0.014996596}, {"error at 500", last.DiameterError, 0},
		{"uncertainty at 300", *first.Uncertainty, 0.0134219}, {"ends", got.Taper.Ends, -0.014996596},
	} {
		// the calculation of the uncertainty leaves out what the drops add at second order
		if math.Abs(c.got-c.want) > 3e-6 || c.what != "uncertainty at 300" && math.Abs(c.got-c.want) > 1e-6 {
			t.Errorf("%s: %.9f, want %.9f", c.what, c.got, c.want)
		}
	}
}
