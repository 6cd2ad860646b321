package show

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"github.com/olekukonko/tablewriter"
	"github.com/olekukonko/tablewriter/renderer"
	"github.com/olekukonko/tablewriter/tw"

	"wornway/cmd/wornway/internal/safe"
)

// gap stands between two columns.
const gap = "  "

// drawText draws a table with a rule under its headings and nothing else around it, no wider than limit (0: none):
// headings are broken, entries of words folded and spare columns dropped where it would be. Where that is not enough,
// the table becomes a list.
func drawText(t Table, limit int) (string, error) {
	drawn, err := drawWhole(t.folded(limit), limit)
	if err != nil || limit <= 0 || widest(strings.Split(drawn, "\n")) <= limit {
		return drawn, err
	}
	for i, c := range slices.Backward(t.Columns) {
		if !c.Spare {
			continue
		}
		narrower := t.without(i)
		// no number stands without its ±
		if i > 0 && t.Columns[i-1].Spare && (strings.HasPrefix(c.Head, "±") || strings.HasPrefix(c.Head, "+/-")) {
			narrower = narrower.without(i - 1)
		}
		return drawText(narrower, limit)
	}
	return t.list(limit), nil
}

// list writes the table as a list: each row is a paragraph that begins with the row's first entry.
func (t Table) list(limit int) string {
	var b strings.Builder
	for _, row := range t.Rows {
		var entries []string
		for j, c := range row {
			text := safe.Line(c.Text)
			if text == "" || text == "–" {
				continue
			}
			if j > 0 || !t.Columns[j].Left {
				text = t.Columns[j].with(text)
			}
			entries = append(entries, text)
		}
		if len(entries) == 0 {
			continue
		}
		line := entries[0]
		if len(entries) > 1 {
			line += ": " + strings.Join(entries[1:], "; ")
		}
		for _, l := range wrap(line, limit) {
			b.WriteString(l + "\n")
		}
	}
	return b.String()
}

// with is an entry with the name and the unit that its column's heading gives: "at, in" makes "at 4 in" of "4".
func (c Column) with(text string) string {
	name, unit, _ := strings.Cut(safe.Line(strings.ReplaceAll(c.Head, "\n", " ")), ", ")
	return strings.TrimSpace(strings.TrimSpace(name+" "+text) + " " + unit)
}

// folded returns the table with the entries of its columns of words over as many rows as they need to keep within a
// width; the widest gives way first.
func (t Table) folded(room int) Table {
	const least = 16 // cells: narrower than that nobody reads it
	cells := make([]int, len(t.Columns))
	total := len(gap) * (len(t.Columns) - 1)
	for j, c := range t.Columns {
		cells[j] = widest(breakHead(c.Head, 0, mostHeadLines))
		for _, row := range t.Rows {
			cells[j] = max(cells[j], width(safe.Line(row[j].Text)))
		}
		total += cells[j]
	}
	fold := false
	for ; room > 0 && total > room; total-- {
		wide := -1
		for j, c := range t.Columns {
			if c.Words && cells[j] > least && (wide < 0 || cells[j] > cells[wide]) {
				wide = j
			}
		}
		if wide < 0 {
			break
		}
		cells[wide]--
		fold = true
	}
	if !fold {
		return t
	}
	var rows [][]Cell
	for _, row := range t.Rows {
		first := len(rows)
		rows = append(rows, slices.Clone(row))
		for j, c := range t.Columns {
			if !c.Words || width(safe.Line(row[j].Text)) <= cells[j] {
				continue
			}
			for i, line := range wrap(row[j].Text, cells[j]) {
				if first+i == len(rows) {
					rows = append(rows, make([]Cell, len(row)))
				}
				rows[first+i][j].Text = line
			}
		}
	}
	t.Rows = rows
	return t
}

// without returns the table without one of its columns.
func (t Table) without(column int) Table {
	t.Columns = slices.Delete(slices.Clone(t.Columns), column, column+1)
	rows := make([][]Cell, len(t.Rows))
	for i, r := range t.Rows {
		rows[i] = slices.Delete(slices.Clone(r), column, column+1)
	}
	t.Rows = rows
	return t
}

// drawWhole draws all columns.
func drawWhole(t Table, limit int) (string, error) {
	cells := make([]int, len(t.Columns))
	rows := make([][]string, len(t.Rows))
	for i, row := range t.Rows {
		rows[i] = make([]string, len(row))
		for j, c := range row {
			rows[i][j] = safe.Line(c.Text)
			cells[j] = max(cells[j], width(rows[i][j]))
		}
	}
	head := make([]string, len(t.Columns))
	for j, lines := range heads(t.Columns, cells, len(gap), limit) {
		head[j] = strings.Join(lines, "\n")
	}
	quiet := renderer.NewBlueprint(tw.Rendition{
		Borders: tw.Border{Left: tw.Off, Right: tw.Off, Top: tw.Off, Bottom: tw.Off},
		Symbols: tw.NewSymbolCustom("quiet").WithRow("─").WithColumn(gap).WithCenter(gap),
		Settings: tw.Settings{
			Separators: tw.Separators{BetweenColumns: tw.On, BetweenRows: tw.Off},
			Lines:      tw.Lines{ShowTop: tw.Off, ShowBottom: tw.Off, ShowHeaderLine: tw.On, ShowFooterLine: tw.Off},
		},
	})
	return draw(t.Columns, head, rows, quiet, tw.PaddingNone)
}

// drawMarkdown draws a table as Markdown.
func drawMarkdown(t Table) (string, error) {
	escape := func(s string) string { return strings.ReplaceAll(escapeMarkdown(s), "|", `\|`) }
	head := make([]string, len(t.Columns))
	for j, c := range t.Columns {
		head[j] = escape(strings.ReplaceAll(c.Head, "\n", " "))
	}
	rows := make([][]string, len(t.Rows))
	for i, row := range t.Rows {
		rows[i] = make([]string, len(row))
		for j, c := range row {
			rows[i][j] = escape(c.Text)
		}
	}
	return draw(t.Columns, head, rows, renderer.NewMarkdown(), tw.PaddingDefault)
}

// draw is the one place that hands a table to the table writer, with everything switched off by which that would change
// a text.
func draw(columns []Column, head []string, rows [][]string, r tw.Renderer, padding tw.Padding) (string, error) {
	align := make(tw.Alignment, len(columns))
	for j, c := range columns {
		align[j] = tw.AlignRight
		if c.Left {
			align[j] = tw.AlignLeft
		}
	}
	var b bytes.Buffer // drawing ignores errors of the writer, and a buffer has none
	table := tablewriter.NewTable(&b,
		tablewriter.WithEastAsian(tw.Off), // as width has it
		tablewriter.WithRenderer(r),
		tablewriter.WithHeaderAutoFormat(tw.Off), // it would turn µm into ΜM
		tablewriter.WithHeaderAutoWrap(tw.WrapNone),
		tablewriter.WithRowAutoWrap(tw.WrapNone),
		tablewriter.WithRowAutoFormat(tw.Off),
		tablewriter.WithPadding(padding),
		tablewriter.WithTrimSpace(tw.Off),
		tablewriter.WithTrimTab(tw.Off),
		tablewriter.WithTrimLine(tw.Off),
		tablewriter.WithHeaderAlignmentConfig(tw.CellAlignment{Global: tw.AlignRight, PerColumn: align}),
		tablewriter.WithRowAlignmentConfig(tw.CellAlignment{Global: tw.AlignRight, PerColumn: align}),
	)
	table.Header(head)
	if err := table.Bulk(rows); err != nil {
		return "", fmt.Errorf("cannot draw the table: %w", err)
	}
	if err := table.Render(); err != nil {
		return "", fmt.Errorf("cannot draw the table: %w", err)
	}
	var out strings.Builder
	for line := range strings.Lines(b.String()) {
		out.WriteString(strings.TrimRight(line, " \n"))
		out.WriteByte('\n')
	}
	return out.String(), nil
}
