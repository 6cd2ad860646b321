package env

import (
	"path/filepath"
	"slices"
	"strings"

	"wornway/cmd/wornway/internal/plot"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/word"
)

// kind is what a file holds that is written here.
type kind struct {
	name    string
	Endings []string // of a file's name that say so, the usual one first
	plain   bool     // it reads as text, so that an ending that says nothing else will do too
}

var (
	asText     = kind{"text", []string{".txt"}, true}
	asJSON     = kind{"JSON", []string{".json"}, true}
	asCSV      = kind{"CSV", []string{".csv"}, true}
	asMarkdown = kind{"Markdown", []string{".md", ".markdown"}, true}
	AsTOML     = kind{"TOML", []string{".toml"}, true}
	AsPDF      = kind{"a PDF", []string{".pdf"}, false}
	AsPage     = kind{"a web page", []string{".html", ".htm"}, false}
)

// spoken are endings that say what a file holds, and would say it wrongly of another kind: those of the kinds above and
// of files that other programs open.
var spoken = slices.Concat(asJSON.Endings, asCSV.Endings, asMarkdown.Endings, AsTOML.Endings, AsPDF.Endings,
	AsPage.Endings, strings.Fields(".svg .png .jpg .jpeg .gif .webp .bmp .tif .tiff .ps .eps .dxf .doc .docx .odt "+
		".rtf .xls .xlsx .ods .tsv .xml .yaml .yml .zip .gz"))

// EndingOf is that of a file's name, in small letters; empty where there is none.
func EndingOf(file string) string {
	return strings.TrimSuffix(strings.ToLower(filepath.Ext(file)), ".")
}

// fits says whether a file's name says nothing else than what the file will hold. A name without an ending says
// nothing.
func (k kind) fits(file string) bool {
	e := EndingOf(file)
	return file == "-" || e == "" || slices.Contains(k.Endings, e) || k.plain && !slices.Contains(spoken, e)
}

// named refuses a name that does not fit; flag stands before it where it was given by one, and more says what else can
// be written, and how.
func (k kind) named(flag, file, more string) error {
	if k.fits(file) {
		return nil
	}
	better := strings.TrimSuffix(filepath.Base(file), filepath.Ext(file)) + k.Endings[0]
	return refuse.Usage(strings.TrimSpace(flag+" "+word.Visible(file))+": this writes "+k.name,
		"name it "+word.Visible(better)+more)
}

// Target refuses a file that cannot be written, or whose name says something else than what it will hold.
func (k kind) Target(flag, file string, force bool) error {
	if err := k.named(flag, file, ""); err != nil || file == "-" {
		return err
	}
	return CanWrite(file, force)
}

// kind is what the flags write of an answer.
func (o *Output) kind() kind {
	switch {
	case o.json:
		return asJSON
	case o.CSV != "":
		return asCSV
	case o.markdown:
		return asMarkdown
	}
	return asText
}

// named refuses a name for the answer's file that says something else than what the flags write into it; draws says
// whether the command has the flag --plot.
func (o *Output) named(draws bool) error {
	k, e := o.kind(), EndingOf(o.File)
	if k.name == asText.name && slices.Contains(o.Also, e) {
		return nil
	}
	more := ""
	switch {
	case slices.Contains(asJSON.Endings, e):
		more = "; --json writes JSON"
	case slices.Contains(asCSV.Endings, e):
		more = "; --csv writes CSV"
	case slices.Contains(asMarkdown.Endings, e):
		more = "; --markdown writes Markdown"
	case draws && slices.Contains(plot.Kinds(), strings.TrimPrefix(e, ".")):
		more = "; --plot " + word.Visible(o.File) + " writes a plot"
	case k.name == asText.name:
		more = "; --json, --csv and --markdown write these"
	}
	if len(o.Also) > 0 {
		more += "; without them -o also writes " + strings.Join(o.Also, " and ")
	}
	return k.named("-o", o.File, more)
}
