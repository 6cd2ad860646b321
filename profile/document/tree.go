package document

import (
	"sort"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// kind is what a value is, as far as a reader of the file can see.
type kind uint8

const (
	textKind kind = iota
	integerKind
	floatKind
	boolKind
	dateKind     // a date alone
	dateTimeKind // a date with a time, with or without an offset
	timeKind
	arrayKind
	tableKind
)

// value is a value and where it stands; offsets count bytes in the document's text.
type value struct {
	start, end int32
	kind       kind
	headed     bool   // a table or array of tables written with headers
	text       string // decoded, of a textKind
	items      []value
	table      *Table
}

// entry is one key of a table.
type entry struct {
	key   string
	keyAt int32 // where the key, or the header that makes it, is written
	value value
}

// form is how a table is written, which decides how a key is added to it.
type form uint8

const (
	rootForm     form = iota
	headerForm        // [a.b] or an element of [[a.b]]
	impliedForm       // [a] where only [a.b] is written
	dottedForm        // a in a.b = 1
	inlineForm        // { b = 1 }
	inDottedForm      // a in { a.b = 1 }
)

// conflict is a key or table that is written twice.
type conflict struct {
	key           string
	first, second int32
	table         bool
}

// builder makes the tree of tables with positions out of the parser's expressions.
type builder struct {
	d        *Document
	section  *Table
	conflict *conflict // the first one, after which nothing more is built
	failed   error     // the parser's own error
	opened   []header  // the headers so far
	large    []value   // numbers that no float64 or int64 can hold
	good     int       // end of the last expression that could be read
}

// header is where a header opens a table.
type header struct {
	at   int32
	path string
}

// sectionAt is the path of the table under whose header an offset lies.
func (b *builder) sectionAt(offset int) string {
	i := sort.Search(len(b.opened), func(i int) bool { return int(b.opened[i].at) > offset })
	if i == 0 {
		return ""
	}
	return b.opened[i-1].path
}

// decodable is the text with a small number in place of each that is too large, which is a fault of its key's and none
// of the file's syntax.
func (b *builder) decodable() []byte {
	text := []byte(b.d.text)
	for _, v := range b.large {
		for i := v.start; i < v.end; i++ {
			text[i] = ' '
		}
		text[v.start] = '1'
	}
	return text
}

// build reads the document's text. The tree is complete where neither conflict nor failed is set.
func build(d *Document) *builder {
	b := &builder{d: d}
	d.root = &Table{doc: d, form: rootForm, opened: true}
	b.section = d.root
	var p unstable.Parser
	p.Reset([]byte(d.text))
	for b.conflict == nil && p.NextExpression() {
		e := p.Expression()
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			b.header(e, e.Kind == unstable.ArrayTable)
		case unstable.KeyValue:
			b.keyValue(b.section, e)
			b.good = int(e.Raw.Offset + e.Raw.Length)
		}
	}
	b.failed = p.Error()
	return b
}

// header opens the table of a [header] or the next one of a [[header]].
func (b *builder) header(n *unstable.Node, array bool) {
	var start, end int32
	t := b.d.root
	along := []*Table{t}
	for it := n.Key(); it.Next(); {
		k := it.Node()
		name := string(k.Data)
		if start == 0 && len(along) == 1 {
			start = int32(strings.LastIndexByte(b.d.text[:k.Raw.Offset], '['))
			if array {
				start--
			}
		}
		end = int32(k.Raw.Offset + k.Raw.Length)
		e := t.entry(name)
		last := it.IsLast()
		switch {
		case e == nil && last && array:
			e = t.add(name, start, value{start: start, end: end, kind: arrayKind, headed: true})
			t = e.element(start)
		case e == nil && last:
			t = t.addTable(name, start, headerForm)
		case e == nil:
			t = t.addTable(name, start, impliedForm)
		case last && array && e.value.kind == arrayKind && e.value.headed:
			t = e.element(start)
		case last && !array && e.value.kind == tableKind && e.value.table.form == impliedForm:
			t = e.value.table
			t.form, t.at = headerForm, start
			e.keyAt, e.value.start = start, start
		case !last && e.value.kind == tableKind && e.value.table.form != inlineForm:
			t = e.value.table
		case !last && e.value.kind == arrayKind && e.value.headed:
			t = e.value.items[len(e.value.items)-1].table
		default:
			b.conflict = &conflict{key: join(t.path, name), first: e.keyAt, second: start,
				table: e.value.kind == tableKind && last && !array}
			return
		}
		along = append(along, t)
	}
	end += int32(strings.IndexByte(b.d.text[end:], ']')) + 1
	if array {
		end += int32(strings.IndexByte(b.d.text[end:], ']')) + 1
	}
	t.ownEnd, t.along = end, along
	b.section, b.good = t, int(end)
	b.opened = append(b.opened, header{start, t.path})
	for _, a := range along {
		a.treeEnd = max(a.treeEnd, end)
	}
}

// keyValue adds a key, which may be dotted, to a table that is open for keys.
func (b *builder) keyValue(t *Table, n *unstable.Node) (end int) {
	start := int32(n.Raw.Offset)
	end = int(n.Raw.Offset + n.Raw.Length)
	section := t
	var dotted []*Table
	for it := n.Key(); it.Next(); {
		k := it.Node()
		name := string(k.Data)
		keyAt := int32(k.Raw.Offset)
		e := t.entry(name)
		if it.IsLast() {
			if e != nil {
				b.conflict = &conflict{key: join(t.path, name), first: e.keyAt, second: keyAt}
				return end
			}
			at := int(k.Raw.Offset + k.Raw.Length)
			at += strings.IndexByte(b.d.text[at:], '=') + 1
			e = t.add(name, keyAt, value{})
			e.value = b.value(n.Value(), at, t.path, bare(name))
			break
		}
		switch {
		case e == nil:
			f := dottedForm
			if t.form == inlineForm || t.form == inDottedForm {
				f = inDottedForm
			}
			t = t.addTable(name, keyAt, f)
			t.prefix = b.d.text[start:int(k.Raw.Offset+k.Raw.Length)] + "."
		case e.value.kind == tableKind && (e.value.table.form == dottedForm || e.value.table.form == inDottedForm):
			t = e.value.table
		default:
			b.conflict = &conflict{key: join(t.path, name), first: e.keyAt, second: keyAt}
			return end
		}
		dotted = append(dotted, t)
	}
	for _, x := range dotted {
		x.ownEnd = int32(end)
	}
	section.ownEnd = int32(end)
	for _, a := range section.along {
		a.treeEnd = max(a.treeEnd, int32(end))
	}
	return end
}

// value reads the value that begins at or after from. The parser gives positions for single values only; where an array
// begins and ends follows from what stands around its items.
func (b *builder) value(n *unstable.Node, from int, parent, name string) value {
	start := b.skip(from)
	v := value{start: int32(start)}
	switch n.Kind {
	case unstable.Array:
		v.kind = arrayKind
		at := start + 1
		for it := n.Children(); it.Next(); {
			c, itemName := it.Node(), ""
			if c.Kind == unstable.Array || c.Kind == unstable.InlineTable {
				itemName = name + "[" + strconv.Itoa(len(v.items)+1) + "]"
			}
			item := b.value(c, at, parent, itemName)
			v.items = append(v.items, item)
			at = int(item.end)
		}
		v.end = int32(b.skip(at) + 1)
	case unstable.InlineTable:
		v.kind = tableKind
		v.table = &Table{doc: b.d, path: joinRaw(parent, name), form: inlineForm, at: int32(start)}
		at := start + 1
		for it := n.Children(); it.Next() && b.conflict == nil; {
			at = b.keyValue(v.table, it.Node())
		}
		v.end = int32(b.skip(at) + 1)
	default:
		v.end = int32(n.Raw.Offset + n.Raw.Length)
		switch n.Kind {
		case unstable.String:
			v.kind, v.text = textKind, string(n.Data)
		case unstable.Bool:
			v.kind = boolKind
		case unstable.Float, unstable.Integer:
			v.kind = floatKind
			if n.Kind == unstable.Integer {
				v.kind = integerKind
			}
			if tooLargeNumber(&v, b.d.raw(&v)) {
				b.large = append(b.large, v)
			}
		case unstable.LocalDate:
			v.kind = dateKind
		case unstable.LocalTime:
			v.kind = timeKind
		default:
			v.kind = dateTimeKind
		}
	}
	return v
}

// skip passes over white space, line ends, commas and comments.
func (b *builder) skip(i int) int {
	for i < len(b.d.text) {
		switch b.d.text[i] {
		case ' ', '\t', '\r', '\n', ',':
			i++
		case '#':
			if n := strings.IndexByte(b.d.text[i:], '\n'); n >= 0 {
				i += n + 1
				continue
			}
			return len(b.d.text)
		default:
			return i
		}
	}
	return i
}

func (t *Table) entry(key string) *entry {
	if i, ok := t.index[key]; ok {
		return t.entries[i]
	}
	return nil
}

func (t *Table) add(key string, at int32, v value) *entry {
	if t.index == nil {
		t.index = map[string]int{}
	}
	e := &entry{key: key, keyAt: at, value: v}
	t.index[key] = len(t.entries)
	t.entries = append(t.entries, e)
	if v.kind == arrayKind && v.headed {
		e.value.table = &Table{doc: t.doc, path: join(t.path, key)} // names the elements; holds no keys itself
	}
	return e
}

func (t *Table) addTable(key string, at int32, f form) *Table {
	c := &Table{doc: t.doc, path: join(t.path, key), form: f, at: at}
	t.add(key, at, value{start: at, end: at, kind: tableKind, headed: f == headerForm || f == impliedForm, table: c})
	return c
}

// element adds the next table to an array of tables.
func (e *entry) element(at int32) *Table {
	of := e.value.table
	c := &Table{doc: of.doc, path: of.path + "[" + strconv.Itoa(len(e.value.items)+1) + "]", form: headerForm, at: at,
		isElement: true}
	e.value.items = append(e.value.items, value{start: at, end: at, kind: tableKind, headed: true, table: c})
	return c
}

// join makes the path of a key in a table.
func join(path, key string) string { return joinRaw(path, bare(key)) }

func joinRaw(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

// bare writes a key as TOML wants it: as it is where that is allowed, otherwise in quotes.
func bare(key string) string {
	for _, r := range key {
		if (r < 'a' || r > 'z') && (r < 'A' || r > 'Z') && (r < '0' || r > '9') && r != '_' && r != '-' {
			return Quote(key)
		}
	}
	if key == "" {
		return `""`
	}
	return key
}
