//go:build linux

package main

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// readLathe is an invented lathe of 1,200 mm, worn where lathes are, and 113 readings of it in six surveys, with errors
// of their size that are not random. One may be written with the wrong sign, so that the surveys do not agree.
func readLathe(slip bool) string {
	const span, height, bearing = 200.0, 150.0, 280.0
	hump := func(z, at, wide float64) float64 { return math.Exp(-(z - at) * (z - at) / (2 * wide * wide)) }
	front := func(z float64) float64 { return 0.09 * hump(z, 180, 130) }
	rear := func(z float64) float64 { return 0.03 * hump(z, 230, 150) }
	at := func(way func(float64) float64, z float64) float64 { return (way(z-bearing/2) + way(z+bearing/2)) / 2 }
	roll := func(z float64) float64 { return (at(front, z) - at(rear, z)) / span }
	var b strings.Builder
	b.WriteString("format = 1\nunit = \"mm\"\n[lathe]\nname = \"Invented, with readings\"\ncentre_height = 150\n" +
		"way_span = 200\nbed = [-250, 950]\nunworn = [[-250, -210], [870, 950]]\n[lathe.saddle]\n" +
		"bearing_length = 280\n[lathe.cross_slide]\ndial = \"diameter\"\ndivision = 0.02\nbacklash = 0.1\n")
	survey := func(keys string, rows int, from, to float64, row func(z, off float64) string) {
		fmt.Fprintf(&b, "[[survey]]\n%srows = [\n", keys)
		for i := range rows {
			z := from + (to-from)*float64(i)/float64(rows-1)
			fmt.Fprintf(&b, "  [%.0f, %s],\n", z, row(z, math.Sin(5*float64(i)+float64(rows))))
		}
		b.WriteString("]\n")
	}
	plain := func(reading func(z float64) float64, error float64) func(z, off float64) string {
		return func(z, off float64) string { return fmt.Sprintf("%.4f", reading(z)+error*off) }
	}
	const columns, division = "columns = [\"position\", \"reading\"]\n", 0.02 / 1000
	sign := 1.0
	if slip {
		sign = -1
	}
	survey("method = \"level-across\"\nper_division = \"0.02 mm/m\"\n"+columns, 25, 0, 800,
		plain(func(z float64) float64 { return -sign * (front(z) - rear(z)) / span / division }, 0.2))
	survey("method = \"saddle-level\"\nper_division = \"0.02 mm/m\"\n"+columns, 25, 0, 780,
		plain(func(z float64) float64 { return -roll(z) / division }, 0.2))
	survey("method = \"way-micrometer\"\non = \"rear\"\n"+columns, 25, 0, 800,
		plain(func(z float64) float64 { return 25 - rear(z) }, 0.002))
	survey("method = \"level-along\"\non = \"front\"\nper_division = \"0.02 mm/m\"\ncolumns = [\"from\", \"to\", "+
		"\"reading\"]\n", 18, -150, 750, func(z, off float64) string {
		return fmt.Sprintf("%.0f, %.4f", z+100, -(front(z+100)-front(z))/100/division+0.2*off)
	})
	survey("method = \"bar-side\"\nturned = true\n"+columns, 14, 25, 300,
		plain(func(z float64) float64 { return -height * roll(z) }, 0.001))
	survey("method = \"straightedge\"\non = \"front\"\ncontacts = [-50, 450]\ncolumns = [\"position\", \"goes\", "+
		"\"stops\"]\n", 6, 0, 400, func(z, off float64) string {
		gap := front(z) - front(-50) - (front(450)-front(-50))*(z+50)/500
		goes := math.Max(0, 0.01*math.Floor(gap/0.01))
		return fmt.Sprintf("%.2f, %.2f", goes, goes+0.01)
	})
	return b.String()
}

// shortLathe is an invented lathe of which stated and other surveys hold 20 readings in all.
func shortLathe(i int) string {
	text, _, _ := strings.Cut(readLathe(false), "[[survey]]")
	var b strings.Builder
	b.WriteString(text + "[[survey]]\nmethod = \"saddle-level\"\nper_division = \"0.02 mm/m\"\ncolumns = " +
		"[\"position\", \"reading\"]\nrows = [\n")
	for k := range 20 {
		z := 40 * float64(k)
		fmt.Fprintf(&b, "  [%.0f, %.2f],\n", z, -6*math.Exp(-(z-200-float64(i))*(z-200-float64(i))/4e4)+
			0.2*math.Sin(5*float64(k+i)))
	}
	b.WriteString("]\n")
	return b.String()
}

// BenchmarkProcesses: whole processes, in the processors' own time, which does not hang on what else a machine does.
//
//	go test ./cmd/wornway -run '^$' -bench Processes -benchtime 5x
func BenchmarkProcesses(b *testing.B) {
	s := buildStartup(b, true)
	folder := filepath.Dir(s.demo)
	files := map[string]string{"read.toml": readLathe(false), "slip.toml": readLathe(true)}
	const short = 10
	for i := range short {
		files[fmt.Sprintf("short%d.toml", i)] = shortLathe(i)
	}
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644); err != nil {
			b.Fatal(err)
		}
	}
	const inches, mm = "--from 4in --to 12in --diameter 1in", "--from 100 --to 300 --diameter 25"
	lines := []struct{ name, line string }{
		{"predict", "predict demo.toml " + inches},
		{"predict-tolerance", "predict demo.toml --tolerance 1thou " + inches},
		{"correct", "correct demo.toml " + inches},
		{"verdict", "wear demo.toml --verdict"},
		{"lesson", "lesson demo.toml -o lesson.html --force"},
		{"read-predict", "predict read.toml " + mm},
		{"read-correct", "correct read.toml " + mm},
		{"read-wear", "wear read.toml"},
		{"read-slips", "wear slip.toml"},
		{"read-verdict", "wear read.toml --verdict"},
	}
	for i := range short {
		lines = append(lines, struct{ name, line string }{"short-predict",
			fmt.Sprintf("predict short%d.toml ", i) + mm})
	}
	run := func(b *testing.B, program string, args ...string) time.Duration {
		c := exec.Command(program, args...)
		c.Dir = folder
		if text, err := c.CombinedOutput(); err != nil && c.ProcessState.ExitCode() != 3 {
			b.Fatalf("%s: %v\n%s", strings.Join(args, " "), err, text)
		}
		return c.ProcessState.UserTime() + c.ProcessState.SystemTime()
	}
	measure := func(name, program string, lines ...string) {
		b.Run(name, func(b *testing.B) {
			var took time.Duration
			n := 0
			for b.Loop() {
				for _, line := range lines {
					took += run(b, program, split(line)...)
					n++
				}
			}
			b.ReportMetric(took.Seconds()*1e3/float64(n), "cpu-ms")
			b.ReportMetric(0, "ns/op")
		})
	}
	measure("bare", s.bare, "")
	of := map[string][]string{}
	for _, l := range lines {
		of[l.name] = append(of[l.name], l.line)
	}
	for i, l := range lines {
		if i == 0 || lines[i-1].name != l.name {
			measure(l.name, s.wornway, of[l.name]...)
		}
	}
}
