package jobfile

import (
	"slices"
	"strings"
	"testing"

	"wornway/profile/form"
	"wornway/profile/length"
)

// The template with its own examples filled in is a job without a fault or a warning, for each choice between keys that
// stand in place of each other.
func TestTemplateFilled(t *testing.T) {
	for _, u := range []length.Unit{length.Inch, length.Millimetre} {
		plain := form.Answers{}
		var choices [][]form.Key // keys of one choice
		for _, k := range Keys() {
			switch {
			case len(k.Instead) == 0:
				plain[k.Path] = k.Example(u)
			case len(choices) > 0 && slices.Equal(choices[len(choices)-1][0].Instead, k.Instead):
				choices[len(choices)-1] = append(choices[len(choices)-1], k)
			default:
				choices = append(choices, []form.Key{k})
			}
		}
		if len(choices) != 4 {
			t.Fatalf("%d choices", len(choices))
		}
		for _, chosen := range append([][]form.Key{nil}, choices...) {
			answers := form.Answers{}
			for path, v := range plain {
				answers[path] = v
			}
			for _, k := range chosen {
				answers[k.Path] = k.Example(u)
				for _, other := range k.Instead {
					delete(answers, other)
				}
			}
			other := map[length.Unit]string{length.Inch: "\nfrom = 2.0\nto = 3.0\n",
				length.Millimetre: "\nfrom = 50.0\nto = 75.0\n"}[u]
			f, err := Parse("new.toml", []byte(Template(u, answers)+"\n[[feature]]\nname = \"left bearing seat\""+other+
				"diameter = 1.25\n"))
			if err != nil {
				t.Errorf("%v, %v: %v", u, chosen, err)
				continue
			}
			if len(f.Warnings) > 0 || f.Unit != u || len(f.Job.Features) != 2 || !f.Job.Part.Cut.Pushed() ||
				f.Job.Features[0].Size == nil || !(f.Job.Features[0].Runout > 0) || !f.Job.Features[1].Datum {
				t.Errorf("%v, %v: %+v", u, chosen, f)
			}
		}
	}
}

// Empty, the template lacks what every job needs, and nothing else is wrong with it.
func TestTemplateEmpty(t *testing.T) {
	for _, u := range []length.Unit{length.Inch, length.Millimetre} {
		required := map[string]bool{}
		for _, k := range Keys() {
			if k.Required && (k.Table() == "job" || k.Table() == "feature") {
				required[strings.Replace(k.Path, "feature.", "feature[1].", 1)] = true
			}
		}
		_, err := Parse("new.toml", []byte(Template(u, nil)))
		if err == nil {
			t.Fatal("an empty template is a job")
		}
		for _, line := range strings.Split(err.Error(), "\n") {
			if strings.HasPrefix(line, "  hint: ") {
				continue
			}
			_, fault, _ := strings.Cut(line, ": ")
			key, message, _ := strings.Cut(fault, ": ")
			if !required[key] || message != "missing" {
				t.Errorf("%v: %s", u, line)
			}
			delete(required, key)
		}
		if len(required) > 0 {
			t.Errorf("%v: it does not lack %v", u, required)
		}
	}
}

// Every key says what it is, how it is found, and what is taken without it; those that it stands in place of exist.
func TestKeys(t *testing.T) {
	seen := map[string]bool{}
	for _, k := range Keys() {
		if seen[k.Path] || k.What == "" || k.How == "" || k.Inch == "" || k.MM == "" ||
			k.Required != (k.Default == "") {
			t.Errorf("%+v", k)
		}
		if strings.HasSuffix(k.How, ".") || strings.HasSuffix(k.What, ".") {
			t.Errorf("%s: full stops are set where it is shown", k.Path)
		}
		for _, other := range k.Instead {
			if !seen[other] {
				t.Errorf("%s stands in place of %s, which does not come before it", k.Path, other)
			}
		}
		seen[k.Path] = true
	}
}
