package main

import (
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"net/url"
	"os"
	"os/exec"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"wornway/profile"
)

// atTerminal is a person who records a survey at the terminal.
type atTerminal struct {
	*exec.Cmd
	in      io.WriteCloser
	said    tape
	errs    bytes.Buffer
	reading sync.WaitGroup
	at      int
}

func sitDown(t *testing.T, args ...string) *atTerminal {
	t.Helper()
	program, err := exec.LookPath("wornway")
	if err != nil {
		t.Fatal(err)
	}
	p := &atTerminal{Cmd: exec.Command(program, args...)}
	p.Stderr = &p.errs
	if p.in, err = p.StdinPipe(); err != nil {
		t.Fatal(err)
	}
	out, err := p.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := p.Start(); err != nil {
		t.Fatal(err)
	}
	p.reading.Go(func() { p.said.record(out) })
	p.waits(t)
	return p
}

func (p *atTerminal) waits(t *testing.T) {
	t.Helper()
	var asked bool
	if p.at, asked = asks(&p.said, p.at); !asked {
		p.leave()
		t.Fatalf("ended: %s", p.errs.String())
	}
}

func (p *atTerminal) answer(t *testing.T, texts ...string) {
	t.Helper()
	for _, text := range texts {
		if _, err := io.WriteString(p.in, text+"\n"); err != nil {
			t.Fatal(err)
		}
		p.waits(t)
	}
}

func (p *atTerminal) leave() { p.reading.Wait(); _ = p.Wait() }

// A day of a shop: one lathe, two people, one at the terminal and one with a telephone, sheets of paper, an editor that
// is open from the morning on, and two crashes. Every reading and every cut is in the file once at the end, and so is
// what was typed into the editor; every answer that was shown is what the file of that moment answers.
func TestDayOfAShop(t *testing.T) {
	alongside(t)
	folder := workshop(t)
	const shop = killedLathe + "\n[lathe.cross_slide]\ndial = \"diameter\"\ndivision = 0.02\nbacklash = 0.1\n"
	put(t, "shop.toml", shop)
	program, err := exec.LookPath("wornway")
	if err != nil {
		t.Fatal(err)
	}
	const cut = "from=100&to=300&diameter=30"
	type shown struct{ page, file string }
	var all []shown
	var s served
	look := func() {
		t.Helper()
		file := mustRead(t, "shop.toml")
		status, body := s.get("/?" + cut)
		if status != 200 || mustRead(t, "shop.toml") != file {
			t.Fatalf("%d %s", status, words(body))
		}
		all = append(all, shown{words(body), file})
	}
	body := ""
	begin := func(method string) { body = s.begin(method) }
	tap := func(texts ...string) { body = s.on(body, texts...) }
	says := func(want string) {
		t.Helper()
		if !strings.Contains(words(body), want) {
			t.Fatalf("no %q in %s", want, words(body))
		}
	}
	onPage := func() *exec.Cmd {
		t.Helper()
		c := exec.Command(program, "page", "shop.toml", "--open=false")
		s = startPage(t, c)
		return c
	}
	loaded := mustRead(t, "shop.toml") // by an editor, before anything was read
	person := &editor{r: rand.New(rand.NewPCG(20260601, 0))}

	// Morning. A sheet is printed and a level goes along the saddle, at the terminal; the telephone is kept out
	// meanwhile.
	if a := invoke(split("blank shop.toml --method level-across -o sheet.pdf")...); a.status != 0 ||
		!strings.HasPrefix(mustRead(t, "sheet.pdf"), "%PDF") {
		t.Fatalf("%+v", a)
	}
	page := onPage()
	one := sitDown(t, split("record shop.toml --method saddle-level --at "+killedStations)...)
	one.answer(t, "2026-06-01", "0.02 mm/m", "", "0.101", "1.201", "2.301")
	begin("bar-side")
	says("Another wornway is writing shop.toml")
	look()

	// The machine at the terminal crashes. The telephone goes on with the survey, and ends it.
	_ = one.Process.Kill()
	one.leave()
	begin("saddle-level")
	says("300 mm")
	tap("1.401", "0.501", "0.102")
	second := s // of the same page: a telephone that has not heard that it was done
	if again := second.on(body, "done"); !strings.Contains(words(again), "Done: ") {
		t.Fatal(words(again))
	}
	tap("9.999")
	says("Not taken:")
	look()

	// Noon. The editor has an old text and says so; it is loaded anew, and the sheet's readings are typed in.
	if saved, err := person.save("shop.toml", []byte(loaded), person.change([]byte(loaded))); saved || err != nil {
		t.Fatalf("an old text was saved over the readings, %v", err)
	}
	now := mustRead(t, "shop.toml")
	typed := person.change([]byte(now + "\n[[survey]]\nmethod = \"level-across\"\ndate = 2026-06-01\nper_division = " +
		"\"0.02 mm/m\"\ncolumns = [\"position\", \"reading\"]\nrows = [[0, 0.111], [200, 1.211], [400, 0.311]]\n"))
	if saved, err := person.save("shop.toml", []byte(now), typed); !saved || err != nil {
		t.Fatal(saved, err)
	}
	look()

	// Afternoon. A bar, on the telephone; the editor saves a note meanwhile, so that one reading has to be given again.
	begin("bar-side")
	for asksFor(body) != "stations" { // what is usual, whatever is asked
		tap("")
	}
	tap("50, 150, 250, 350", "0.0012", "0.0022")
	person.edit(t, "shop.toml")
	tap("0.0032")
	says("has been changed")
	begin("bar-side")
	says("250 mm")
	tap("0.0032")

	// The page crashes, is started anew, and goes on.
	_ = page.Process.Kill()
	_ = page.Wait()
	page = onPage()
	begin("bar-side")
	says("350 mm")
	tap("0.0042", "done")
	look()

	// Two cuts are measured at once, one typed in at each place, and each is sent until it is in.
	put(t, "cut.csv", "position,diameter\n50,31.0121\n150,31.0041\n250,31.0001\n")
	form := url.Values{"position1": {"50"}, "diameter1": {"32.0121"}, "position2": {"150"}, "diameter2": {"32.0041"},
		"position3": {"250"}, "diameter3": {"32.0001"}, "way": {"spindle"}}
	_, body = s.post("/after?"+cut, form)
	form.Set("add", regexp.MustCompile(`name="add" value="([^"]*)"`).FindStringSubmatch(body)[1])
	var both sync.WaitGroup
	const tries = 20
	both.Go(func() {
		standIn(folder)
		for range tries {
			out, err := exec.Command(program, split("check shop.toml --measured cut.csv --date 2026-06-01 --add")...).
				CombinedOutput()
			if err == nil {
				return
			}
			if !bytes.Contains(out, []byte("changed")) && !bytes.Contains(out, []byte("another wornway")) {
				t.Errorf("%v\n%s", err, out)
			}
		}
		t.Error("the cut at the terminal was never added")
	})
	both.Go(func() {
		for range tries {
			if _, body := s.post("/after?"+cut, form); strings.Contains(words(body), "The cut is in the profile now") {
				return
			}
		}
		t.Error("the cut on the page was never added")
	})
	both.Wait()
	s.post("/after?"+cut, form) // the button is tapped once more
	look()
	if a := invoke(split("chart shop.toml --from 100 --to 300 --diameter 30 -o card.pdf")...); a.status != 0 {
		t.Errorf("%+v", a)
	}

	// Evening.
	_ = page.Process.Signal(os.Interrupt)
	_ = page.Wait()
	file := mustRead(t, "shop.toml")
	p, err := profile.Parse(os.DirFS("."), "shop.toml", []byte(file))
	if err != nil || len(p.Surveys) != 5 {
		t.Fatalf("%v\n%s", err, file)
	}
	for _, reading := range []string{"0.101", "1.201", "2.301", "1.401", "0.501", "0.102", "0.111", "1.211", "0.311",
		"0.0012", "0.0022", "0.0032", "0.0042", "31.0121", "31.0041", "31.0001", "32.0121", "32.0041", "32.0001",
		fmt.Sprintf("%s%d.", noteStart, person.notes)} {
		if n := strings.Count(file, reading); n != 1 {
			t.Errorf("%s is in the file %d times:\n%s", reading, n, file)
		}
	}
	if strings.Contains(file, "9.999") || strings.Contains(file, "unfinished") ||
		!strings.HasPrefix(withoutNote(file), shop) {
		t.Errorf("the file holds\n%s", file)
	}
	if left := leftovers(t); len(left) > 0 {
		t.Errorf("left behind: %q", left)
	}
	if len(slices.CompactFunc(slices.Clone(all), func(a, b shown) bool { return a.file == b.file })) != len(all) {
		t.Error("looked twice at the same file: this test sees less than it should")
	}
	for i, x := range all {
		put(t, "then.toml", x.file)
		for _, command := range []string{"predict", "correct"} {
			a := invoke(split(command + " then.toml --from 100 --to 300 --diameter 30")...)
			first, _, _ := strings.Cut(firstSentence(a), " (--") // the page names its own fields
			if first == "" || !strings.Contains(x.page, step(first)) {
				t.Errorf("look %d: the page says\n%s\n%s then says %q %s", i+1, x.page, command, first, a.stderr)
			}
		}
	}
}
