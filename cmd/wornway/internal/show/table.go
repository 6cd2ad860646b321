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

// drawText draws a table with a rule under its headings and nothing else around it. limit is the terminal's width, 0
// for no limit: only headings spare columns and entries of words give way to it, other entries are never broken.
func drawText(t Table, limit int) (string, error) {
	t = t.forPeople().folded(limit)
	drawn, err := drawWhole(t, limit)
	spare := slices.IndexFunc(t.Columns, func(c Column) bool { return c.Spare })
	if err != nil || limit <= 0 || spare < 0 || widest(strings.Split(drawn, "\n")) <= limit {
		return drawn, err
	}
	return drawText(t.without(spare), limit)
}

// forPeople returns the table without the columns that are for CSV alone.
func (t Table) forPeople() Table {
	for {
		data := slices.IndexFunc(t.Columns, func(c Column) bool { return c.Data })
		if data < 0 {
			return t
		}
		t = t.without(data)
	}
}

// folded returns the table with the entries of its column of words over as many rows as they need to keep within the
// terminal's width.
func (t Table) folded(terminal int) Table {
	const least = 16 // cells: narrower than that nobody reads it
	words := slices.IndexFunc(t.Columns, func(c Column) bool { return c.Words })
	if words < 0 {
		return t
	}
	room := terminal
	if room <= 0 {
		room = unknownText
	}
	for j, c := range t.Columns {
		if j == words {
			continue
		}
		cells := widest(breakHead(c.Head, 0, mostHeadLines))
		for _, row := range t.Rows {
			cells = max(cells, width(safe.Line(row[j].Text)))
		}
		room -= cells + len(gap)
	}
	room = max(room, least)
	var rows [][]Cell
	for _, row := range t.Rows {
		if width(safe.Line(row[words].Text)) <= room {
			rows = append(rows, row)
			continue
		}
		for i, line := range wrap(row[words].Text, room) {
			next := make([]Cell, len(row))
			if i == 0 {
				copy(next, row)
			}
			next[words].Text = line
			rows = append(rows, next)
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
	t = t.forPeople()
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
