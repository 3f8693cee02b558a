package source

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2/unstable"

	"plumbrule/internal/bound"
)

// Place is where one key of a TOML file stands. Header is where its table is
// opened ("[site]", "[[array]]", or the key of an inline table); it is no
// place for anything but a table.
type Place struct {
	Key, Value, Header Span
}

// Best is the place to point at when the thing as a whole is meant: the
// header of a table, else the value, else the key.
func (p Place) Best() Span {
	for _, s := range []Span{p.Header, p.Value, p.Key} {
		if s.Known() {
			return s
		}
	}
	return Span{}
}

// Index finds the place of every key by its path from the top of the file:
// "site.record_low", "array[0].attachments.spacing", "plane[0].outline[2][1]".
// Key and Item make such paths.
type Index struct {
	File   *File
	places map[string]Place
}

// Key is the path of a key in the table at path parent ("" for the top).
func Key(parent, key string) string {
	if !isBare(key) {
		key = strconv.Quote(key)
	}
	if parent == "" {
		return key
	}
	return parent + "." + key
}

// Item is the path of element i, counted from 0, of the list at path list.
func Item(list string, i int) string { return list + "[" + strconv.Itoa(i) + "]" }

// DataPath is an index path as people count: "array[0].name" is
// "array.1.name".
func DataPath(path string) string {
	var out strings.Builder
	for path != "" {
		if quoted, err := strconv.QuotedPrefix(path); err == nil && path[0] == '"' {
			out.WriteString(quoted)
			path = path[len(quoted):]
			continue
		}
		number, after, closed := strings.Cut(path[1:], "]")
		if i, err := strconv.Atoi(number); path[0] == '[' && closed && err == nil {
			out.WriteString("." + strconv.Itoa(i+1))
			path = after
			continue
		}
		out.WriteByte(path[0])
		path = path[1:]
	}
	return out.String()
}

// isBare reports whether TOML would let a key stand without quotes.
func isBare(key string) bool {
	for _, c := range []byte(key) {
		if !(c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-' || c == '_') {
			return false
		}
	}
	return key != ""
}

// Of gives the place at a path; the zero Place when the file has no such key.
func (x *Index) Of(path string) Place { return x.places[path] }

// Has reports whether the file has a key at the path.
func (x *Index) Has(path string) bool { _, ok := x.places[path]; return ok }

// NewIndex reads where everything in a TOML file stands. It refuses a file
// that is too large, is not text, is nested too deeply, gives a key or opens a
// table twice, or is not TOML; the error is Faults.
func NewIndex(f *File) (*Index, error) {
	if err := f.check(); err != nil {
		return nil, err
	}
	b := &indexer{file: f, places: map[string]Place{}, counts: map[string]int{}, opened: map[string]Span{}}
	b.parser.Reset(f.Text)
	for !b.full && b.parser.NextExpression() {
		b.expression(b.parser.Expression())
	}
	if err := b.parser.Error(); err != nil && !b.full {
		b.faults = append(b.faults, b.syntax(err))
	}
	if err := b.faults.Err(); err != nil {
		return nil, err
	}
	return &Index{File: f, places: b.places}, nil
}

// check refuses what cannot be a TOML file before anything parses it.
func (f *File) check() error {
	if len(f.Text) > bound.FileBytes {
		return Faults{{At: f.Start(), Message: fmt.Sprintf("the file has %d bytes", len(f.Text)),
			Expected: fmt.Sprintf("at most %d MiB are read", bound.FileBytes>>20)}}
	}
	if i := bytes.IndexByte(f.Text, 0); i >= 0 {
		return Faults{{At: Span{f, i, i + 1}, Message: "a zero byte: this is no text file", Expected: "a TOML file is expected"}}
	}
	if utf8.Valid(f.Text) {
		return nil
	}
	for i := 0; i < len(f.Text); {
		r, size := utf8.DecodeRune(f.Text[i:])
		if r == utf8.RuneError && size == 1 {
			return Faults{{At: Span{f, i, i + 1}, Message: fmt.Sprintf("the byte 0x%02X is not UTF-8", f.Text[i]),
				Expected: "the file must be saved as UTF-8"}}
		}
		i += size
	}
	return nil
}

// indexer walks the expressions of one file.
type indexer struct {
	file    *File
	parser  unstable.Parser
	places  map[string]Place
	counts  map[string]int  // elements so far of each array of tables
	opened  map[string]Span // header of each table that has one
	table   string          // path of the open table
	depth   int             // its depth
	tooDeep bool
	keys    int  // keys and values so far
	full    bool // they are more than are read
	faults  Faults
}

func (b *indexer) expression(n *unstable.Node) {
	switch n.Kind {
	case unstable.Table, unstable.ArrayTable:
		b.header(n)
	case unstable.KeyValue:
		b.keyValue(n, b.table, b.depth)
	}
}

// header opens a table, or the next table of an array.
func (b *indexer) header(n *unstable.Node) {
	path, span, depth := "", Span{}, 0
	for it := n.Key(); it.Next(); {
		span = b.join(span, b.span(it.Node().Raw))
		path = b.enter(path, it.Node(), &depth)
		if last := it.IsLast(); last && n.Kind == unstable.ArrayTable {
			b.counts[path]++
			path = Item(path, b.counts[path]-1)
		} else if count := b.counts[path]; count > 0 {
			path = Item(path, count-1)
		}
	}
	place := b.places[path]
	place.Header = b.brackets(span)
	if first, twice := b.opened[path]; twice {
		b.twice(path, place.Header, first)
	} else {
		b.opened[path] = place.Header
	}
	b.places[path] = place
	b.table, b.depth = path, depth
}

// enter steps into a key and notes the place of a table that no header opens.
func (b *indexer) enter(parent string, key *unstable.Node, depth *int) string {
	*depth++
	b.count(b.span(key.Raw))
	b.limit(*depth, b.span(key.Raw))
	path := parent
	if *depth <= bound.Depth {
		path = Key(parent, string(key.Data))
	}
	if _, known := b.places[path]; !known {
		b.places[path] = Place{Key: b.span(key.Raw), Header: b.span(key.Raw)}
	}
	return path
}

// count counts a key or a value; false, with one fault, where they are too many.
func (b *indexer) count(at Span) bool {
	if b.keys++; b.keys > bound.FileKeys && !b.full {
		b.full = true
		b.faults = append(b.faults, Fault{At: Span{at.File, at.Start, at.Start + 1}, Message: fmt.Sprintf("the file has more than %d keys and values", bound.FileKeys),
			Expected: fmt.Sprintf("at most %d are read; include parts a job into files", bound.FileKeys)})
	}
	return !b.full
}

// keyValue notes one "key = value" in the table at path parent.
func (b *indexer) keyValue(n *unstable.Node, parent string, depth int) {
	path, key := parent, Span{}
	for it := n.Key(); it.Next(); {
		key = b.span(it.Node().Raw)
		if it.IsLast() {
			path = Key(path, string(it.Node().Data))
			break
		}
		path = b.enter(path, it.Node(), &depth)
	}
	if !b.count(key) {
		return
	}
	whole := b.span(n.Raw)
	value := Span{b.file, b.afterEquals(key.End), whole.End}
	place := Place{Key: key, Value: value}
	if n.Value().Kind == unstable.InlineTable {
		place.Header = key
	}
	if first, twice := b.places[path]; twice {
		b.twice(path, key, cmp.Or(first.Key, first.Header))
	}
	b.places[path] = place
	b.value(n.Value(), path, value, depth+1)
}

// twice reports a key that is given, or a table that is opened, a second
// time. Beyond the bound of nesting a path says too little to tell.
func (b *indexer) twice(path string, at, first Span) {
	if b.tooDeep {
		return
	}
	path = DataPath(path)
	b.faults = append(b.faults, Fault{At: at, Path: path, Message: path + " is given twice", Also: []Further{{first, FirstHere}}})
}

// FirstHere is the note at the first of two places that clash.
const FirstHere = "it is given here first"

// value notes what is inside a value. span is where the value stands.
func (b *indexer) value(n *unstable.Node, path string, span Span, depth int) {
	if n.Kind != unstable.Array && n.Kind != unstable.InlineTable {
		return
	}
	if b.limit(depth, span); b.tooDeep {
		return
	}
	if n.Kind == unstable.InlineTable {
		for it := n.Children(); it.Next(); {
			b.keyValue(it.Node(), path, depth)
		}
		return
	}
	at := span.Start + 1
	i := 0
	for it := n.Children(); it.Next(); i++ {
		item := Item(path, i)
		element := b.element(it.Node(), at)
		if !b.count(element) {
			return
		}
		place := Place{Value: element}
		if it.Node().Kind == unstable.InlineTable {
			place.Header = element
		}
		b.places[item] = place
		b.value(it.Node(), item, element, depth+1)
		at = element.End
	}
}

// element finds where an element of a list stands; at is where the one
// before it ended. The parser gives no range for lists, tables and booleans:
// their start is found by passing over what may part elements, their end from
// their last child.
func (b *indexer) element(n *unstable.Node, at int) Span {
	if n.Raw.Length > 0 && n.Kind != unstable.InlineTable {
		return b.span(n.Raw)
	}
	start := b.skip(at, ",")
	switch n.Kind {
	case unstable.Bool:
		return Span{b.file, start, start + len(n.Data)}
	case unstable.InlineTable:
		end := start + 1
		for it := n.Children(); it.Next(); {
			end = b.span(it.Node().Raw).End
		}
		return Span{b.file, start, b.closing(end, "}")}
	}
	end := start + 1
	for it := n.Children(); it.Next(); {
		end = b.element(it.Node(), end).End
	}
	return Span{b.file, start, b.closing(end, "]")}
}

// skip passes over white space, comments and the given characters.
func (b *indexer) skip(at int, also string) int {
	text := b.file.Text
	for at < len(text) {
		switch c := text[at]; {
		case c == '#':
			for at < len(text) && text[at] != '\n' {
				at++
			}
		case c == ' ' || c == '\t' || c == '\r' || c == '\n' || bytes.IndexByte([]byte(also), c) >= 0:
			at++
		default:
			return at
		}
	}
	return at
}

func (b *indexer) closing(at int, bracket string) int {
	at = b.skip(at, ",")
	if at < len(b.file.Text) && b.file.Text[at] == bracket[0] {
		at++
	}
	return at
}

func (b *indexer) afterEquals(at int) int { return b.skip(b.skip(at, "")+1, "") }

// brackets widens the keys of a header to the brackets around them.
func (b *indexer) brackets(s Span) Span {
	text := b.file.Text
	for s.Start > 0 && (text[s.Start-1] == '[' || text[s.Start-1] == ' ' || text[s.Start-1] == '\t') {
		s.Start--
	}
	for s.Start < s.End && text[s.Start] != '[' {
		s.Start++
	}
	for s.End < len(text) && (text[s.End] == ' ' || text[s.End] == '\t') {
		s.End++
	}
	for s.End < len(text) && text[s.End] == ']' {
		s.End++
	}
	return s
}

func (b *indexer) join(a, c Span) Span {
	if !a.Known() {
		return c
	}
	return Span{b.file, a.Start, c.End}
}

func (b *indexer) span(r unstable.Range) Span {
	return Span{b.file, int(r.Offset), int(r.Offset + r.Length)}
}

// limit reports nesting beyond the bound, once a file.
func (b *indexer) limit(depth int, at Span) {
	if depth <= bound.Depth || b.tooDeep {
		return
	}
	b.tooDeep = true
	b.faults = append(b.faults, Fault{At: Span{at.File, at.Start, at.Start + 1}, Message: "nested too deeply",
		Expected: fmt.Sprintf("at most %d tables and lists may stand inside one another", bound.Depth)})
}

// syntax turns the parser's error into a fault at its place.
func (b *indexer) syntax(err error) Fault {
	var at unstable.Range
	var found *unstable.ParserError
	if errors.As(err, &found) && cap(found.Highlight) > 0 {
		at = b.parser.Range(found.Highlight)
	} else {
		at = unstable.Range{Offset: uint32(len(b.file.Text))}
	}
	return Fault{At: b.span(at), Message: "not TOML: " + err.Error()}
}
