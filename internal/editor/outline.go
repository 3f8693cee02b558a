package editor

import (
	"bytes"
	"regexp"
	"strconv"
	"strings"

	"plumbrule/internal/bound"
	"plumbrule/internal/job"
	"plumbrule/internal/source"
)

// An outline is a text taken apart line by line, in whatever state it is: what
// a parser refuses as a whole still has tables, keys and values. A string that
// does not close ends with its line, a list that does not close ends before the
// next line that is a header or a key. Every question about a place is answered
// from it, so that nothing an editor asks depends on whether the text is valid.
type outline struct {
	file     *source.File
	root     *node
	headers  []*header
	pairs    []*pair
	comments []source.Span
}

// node is one table, list of tables, entry of one, or value, by its key. One that
// is written in several places (dotted keys, headers) is one node.
type node struct {
	parent  *node
	key     string
	number  int // of an entry of a list of tables, from 1; 0 for everything else
	fields  []*node
	byKey   map[string]*node // the fields, once they are many
	entries []*node
	words   []source.Span // where its key stands, in the order of the text
	header  *header       // that opens it; nil for none
	pair    *pair         // that gives its value; nil for none

	field   *job.Field // nil where the model has no such key
	table   *job.Table // of a table or an entry; nil where the model has none
	pattern bool       // the key stands for others
}

// header is a line that opens a table: "[site]", "[[array]]".
type header struct {
	at    source.Span // with its brackets, as far as they are typed
	words []word
	many  bool // two brackets
	opens *node
	end   int // where the lines of the table end: the next header, or the end of the text
	said  int // where what it says ends: before the empty lines and the comments above the next header
}

// pair is one key with its value, as far as it is typed.
type pair struct {
	at     source.Span // from the key to the end of the value
	words  []word
	equals int    // place of the equals sign; -1 for none
	value  *value // nil for none
	owner  *node  // the table that it stands in
	node   *node
}

// word is one part of a key.
type word struct {
	text string
	at   source.Span
	node *node // nil where it is empty
}

// value is what stands behind an equals sign, or an element of a list.
type value struct {
	at       source.Span
	kind     valueKind
	text     string // of a quoted text, without quotes and escapes; else as it stands
	closed   bool   // its last quote or bracket is typed
	elements []*value
	pairs    []*pair
}

type valueKind uint8

const (
	bare valueKind = iota
	quoted
	list
	inline
)

// newOutline takes a text apart.
func newOutline(f *source.File) *outline {
	o := &outline{file: f, root: &node{table: job.Model()}}
	table := o.root
	for at := 0; at < len(f.Text); {
		at = o.spaces(at)
		switch {
		case at >= len(f.Text):
		case f.Text[at] == '\n' || f.Text[at] == '\r':
			at++
		case f.Text[at] == '#':
			at = o.comment(at)
		case f.Text[at] == '[':
			h := o.header(at)
			table, h.said = h.opens, h.at.End
			at = o.restOfLine(h.at.End)
		default:
			p := o.pair(at, table, 0)
			if n := len(o.headers); n > 0 {
				o.headers[n-1].said = p.at.End
			}
			at = o.restOfLine(max(p.at.End, at+1))
		}
	}
	for i, h := range o.headers {
		h.end = len(f.Text)
		if i+1 < len(o.headers) {
			h.end = o.headers[i+1].at.Start
		}
	}
	return o
}

func (o *outline) span(start, end int) source.Span {
	return source.Span{File: o.file, Start: start, End: end}
}

// byteAt is a byte of the text; a line break beyond its end.
func (o *outline) byteAt(at int) byte {
	if at < len(o.file.Text) {
		return o.file.Text[at]
	}
	return '\n'
}

func (o *outline) spaces(at int) int {
	for at < len(o.file.Text) && (o.file.Text[at] == ' ' || o.file.Text[at] == '\t') {
		at++
	}
	return at
}

// lineEnd is where the line of a place ends, before its break.
func (o *outline) lineEnd(at int) int {
	n := bytes.IndexByte(o.file.Text[at:], '\n')
	if n < 0 {
		return len(o.file.Text)
	}
	if n > 0 && o.file.Text[at+n-1] == '\r' {
		n--
	}
	return at + n
}

// breaks reports whether a line ends at a place.
func (o *outline) breaks(at int) bool {
	return o.byteAt(at) == '\n' || o.byteAt(at) == '\r' && o.byteAt(at+1) == '\n' && at+1 < len(o.file.Text)
}

// lineStart is where the line of a place starts.
func (o *outline) lineStart(at int) int { return bytes.LastIndexByte(o.file.Text[:at], '\n') + 1 }

func (o *outline) comment(at int) int {
	end := o.lineEnd(at)
	o.comments = append(o.comments, o.span(at, end))
	return end
}

// restOfLine passes over what stands behind a header or a value: a comment, or
// what should not be there.
func (o *outline) restOfLine(at int) int {
	for ; at < len(o.file.Text) && o.file.Text[at] != '\n'; at++ {
		if o.file.Text[at] == '#' {
			return o.comment(at)
		}
	}
	return at
}

// header reads "[a.b]" or "[[a.b]]" as far as it is typed.
func (o *outline) header(at int) *header {
	h := &header{many: o.byteAt(at+1) == '['}
	start := at
	at++
	if h.many {
		at++
	}
	h.words, at = o.words(o.spaces(at))
	for end := o.spaces(at); o.byteAt(end) == ']'; end++ {
		at = end + 1
	}
	h.at = o.span(start, at)
	h.opens = o.root
	for i := range h.words {
		w := &h.words[i]
		if w.text == "" {
			continue
		}
		h.opens = h.opens.child(w.text)
		h.opens.words = append(h.opens.words, w.at)
		last := i == len(h.words)-1
		if last && h.many {
			h.opens = h.opens.add()
		} else if n := len(h.opens.entries); n > 0 {
			h.opens = h.opens.entries[n-1]
		}
		w.node = h.opens
	}
	if h.opens.header == nil && h.opens != o.root {
		h.opens.header = h
	}
	o.headers = append(o.headers, h)
	return h
}

// words reads a dotted key. A part that is still to be typed is an empty word.
func (o *outline) words(at int) ([]word, int) {
	var out []word
	for {
		w, end := o.word(at)
		out = append(out, w)
		next := o.spaces(end)
		if o.byteAt(next) != '.' {
			return out, end
		}
		at = o.spaces(next + 1)
	}
}

func (o *outline) word(at int) (word, int) {
	if c := o.byteAt(at); c == '"' || c == '\'' {
		v := o.quoted(at)
		return word{text: v.text, at: v.at}, v.at.End
	}
	end := at
	for end < len(o.file.Text) && !strings.ContainsRune(".=#[]{},\"' \t\r\n", rune(o.file.Text[end])) {
		end++
	}
	return word{text: string(o.file.Text[at:end]), at: o.span(at, end)}, end
}

// pair reads "key = value" as far as it is typed. depth counts the inline tables
// and lists around it.
func (o *outline) pair(at int, owner *node, depth int) *pair {
	p := &pair{equals: -1, owner: owner}
	var end int
	p.words, end = o.words(at)
	p.node = owner
	for i := range p.words {
		if w := &p.words[i]; w.text != "" {
			p.node = p.node.child(w.text)
			p.node.words = append(p.node.words, w.at)
			w.node = p.node
		}
	}
	if next := o.spaces(end); o.byteAt(next) == '=' {
		p.equals, end = next, next+1
		if start := o.spaces(end); !strings.ContainsRune("\r\n#", rune(o.byteAt(start))) {
			p.value = o.value(start, p.node, depth)
			end = p.value.at.End
		}
	}
	p.at = o.span(at, end)
	if p.node != owner && p.node.pair == nil {
		p.node.pair = p
	}
	o.pairs = append(o.pairs, p)
	return p
}

// deepest bounds the lists and tables inside one another that are told apart.
const deepest = bound.Depth

// value reads a value as far as it is typed. n is the node that it is the value
// of.
func (o *outline) value(at int, n *node, depth int) *value {
	switch c := o.byteAt(at); {
	case c == '"' || c == '\'':
		return o.quoted(at)
	case c == '[' && depth < deepest:
		return o.list(at, n, depth+1)
	case c == '{' && depth < deepest:
		return o.inline(at, n, depth+1)
	}
	stop := "#\n"
	if depth > 0 {
		stop = ",]}#\n"
	}
	end := at
	for end < len(o.file.Text) && strings.IndexByte(stop, o.file.Text[end]) < 0 {
		end++
	}
	text := bytes.TrimRight(o.file.Text[at:end], " \t\r")
	return &value{at: o.span(at, at+len(text)), text: string(text), closed: true}
}

// quoted reads a text in quotes of any kind.
func (o *outline) quoted(at int) *value {
	text := o.file.Text
	mark := text[at : at+1]
	if triple := bytes.Repeat(mark, 3); bytes.HasPrefix(text[at:], triple) {
		if n := bytes.Index(text[at+3:], triple); n >= 0 {
			end := at + 3 + n + 3
			for i := 0; i < 2 && o.byteAt(end) == mark[0]; i++ {
				end++ // a quote of its own before the last three
			}
			return &value{at: o.span(at, end), kind: quoted, closed: true, text: unescaped(text[at+3:end-3], mark[0])}
		}
	}
	end := at + 1
	for ; !o.breaks(end); end++ { // not to the end of the line first, which may be long
		switch {
		case text[end] == '\\' && mark[0] == '"' && !o.breaks(end+1):
			end++
		case text[end] == mark[0]:
			return &value{at: o.span(at, end+1), kind: quoted, closed: true, text: unescaped(text[at+1:end], mark[0])}
		}
	}
	return &value{at: o.span(at, end), kind: quoted, text: unescaped(text[at+1:end], mark[0])}
}

func unescaped(text []byte, mark byte) string {
	if mark == '\'' || bytes.IndexByte(text, '\\') < 0 {
		return string(text)
	}
	if s, err := strconv.Unquote(`"` + string(text) + `"`); err == nil {
		return s
	}
	return string(text)
}

// The lines that end a list that does not close.
var (
	headerLine = regexp.MustCompile(`^[ \t]*\[\[?[ \t]*[A-Za-z_][A-Za-z0-9_.\- \t]*\]{0,2}[ \t]*(#.*)?\r?$`)
	keyLine    = regexp.MustCompile(`^[ \t]*[A-Za-z0-9_\-]+([ \t]*\.[ \t]*[A-Za-z0-9_\-]+)*[ \t]*=`)
	boolLine   = regexp.MustCompile(`^[ \t]*\[\[?[ \t]*(true|false|inf|nan)\b`)
)

// beginsAnew reports whether the line that starts at a place cannot be part of
// a list.
func (o *outline) beginsAnew(at int) bool {
	line := o.file.Text[at:o.lineEnd(at)]
	return keyLine.Match(line) || headerLine.Match(line) && !boolLine.Match(line)
}

func (o *outline) list(at int, n *node, depth int) *value {
	v := &value{kind: list}
	start, end := at, at+1
	for at = end; ; {
		switch c := o.byteAt(at); {
		case at >= len(o.file.Text):
			v.at = o.span(start, end)
			return v
		case c == '\n':
			if at+1 < len(o.file.Text) && o.beginsAnew(at+1) {
				v.at = o.span(start, end)
				return v
			}
			at++
		case c == ' ' || c == '\t' || c == '\r':
			at++
		case c == ',':
			at++
			end = at
		case c == '#':
			at = o.comment(at)
		case c == ']':
			v.at, v.closed = o.span(start, at+1), true
			return v
		case c == '}':
			v.at = o.span(start, end)
			return v
		default:
			of := n
			if c == '{' {
				of = n.add()
			}
			e := o.value(at, of, depth)
			v.elements = append(v.elements, e)
			at = max(e.at.End, at+1)
			end = at
			if !e.closed && e.kind == list { // the line that ended it ends this one as well
				v.at = o.span(start, end)
				return v
			}
		}
	}
}

// inline reads an inline table, which does not go beyond its line.
func (o *outline) inline(at int, n *node, depth int) *value {
	v := &value{kind: inline}
	start, end := at, at+1
	for at = end; ; {
		switch c := o.byteAt(at); {
		case c == '\n' || c == '#' || c == ']':
			v.at = o.span(start, end)
			return v
		case c == ' ' || c == '\t' || c == '\r':
			at++
		case c == ',':
			at++
			end = at
		case c == '}':
			v.at, v.closed = o.span(start, at+1), true
			return v
		default:
			p := o.pair(at, n, depth)
			v.pairs = append(v.pairs, p)
			at = max(p.at.End, at+1)
			end = at
		}
	}
}

// child is the node of a key in a table, which is made where there is none yet.
func (n *node) child(key string) *node {
	if c := n.get(key); c != nil {
		return c
	}
	c := &node{parent: n, key: key}
	if n.table != nil {
		if f, known := n.table.Field(key); known {
			c.field, c.table = f, f.Table
		} else if f, known := n.table.Pattern(key); known {
			c.field, c.pattern = f, true
		}
	}
	n.fields = append(n.fields, c)
	if n.byKey != nil {
		n.byKey[key] = c
	}
	return c
}

// add makes a further entry of a list of tables.
func (n *node) add() *node {
	e := &node{parent: n, key: n.key, number: len(n.entries) + 1, field: n.field, table: n.table}
	n.entries = append(n.entries, e)
	return e
}

// many is how many fields are looked through one by one.
const many = 32

// get is the node of a key; nil where there is none.
func (n *node) get(key string) *node {
	if n == nil {
		return nil
	}
	if len(n.fields) > many && n.byKey == nil {
		n.byKey = make(map[string]*node, 2*len(n.fields))
		for _, c := range n.fields {
			n.byKey[c.key] = c
		}
	}
	if n.byKey != nil {
		return n.byKey[key]
	}
	for _, c := range n.fields {
		if c.key == key {
			return c
		}
	}
	return nil
}

// text is the value of a key that holds a text.
func (n *node) text(key string) (string, *value) {
	c := n.get(key)
	if c == nil || c.pair == nil || c.pair.value == nil || c.pair.value.kind != quoted {
		return "", nil
	}
	return c.pair.value.text, c.pair.value
}

// name is the name of an entry; "" for none.
func (n *node) name() string {
	name, _ := n.text("name")
	return name
}

// Key is the key of a node as the job names it: "array.south.rows". One of the
// strings that count makes stands for all of them.
func (n *node) Key() string {
	switch {
	case n.parent == nil:
		return ""
	case n.number == 0:
		return job.Join(n.parent.Key(), n.key)
	case n.table == nil || !n.table.Named() || n.name() == "":
		return job.Join(n.parent.Key(), strconv.Itoa(n.number))
	case n.get("count") != nil && n.key == "string":
		return job.Join(n.parent.Key(), n.name()+" 1")
	}
	return job.Join(n.parent.Key(), n.name())
}

// path is the key of a node as a header has it: "array.attachments".
func (n *node) path() string {
	switch {
	case n.parent == nil:
		return ""
	case n.number > 0:
		return n.parent.path()
	}
	return source.Key(n.parent.path(), n.key)
}

// find follows a key as the job names it; nil where the text has no such place.
func (o *outline) find(key string) *node {
	parts, ok := job.SplitKey(key)
	if !ok {
		return nil
	}
	n := o.root
	for _, part := range parts {
		if len(n.entries) > 0 {
			n = n.entry(part)
		} else {
			n = n.get(part)
		}
		if n == nil {
			return nil
		}
	}
	return n
}

// entry is the entry of a list by its name, or by its number where it has none.
func (n *node) entry(part string) *node {
	for _, e := range n.entries {
		if name := e.name(); name == part || name != "" && e.get("count") != nil && part == name+" 1" {
			return e
		}
	}
	if i, err := strconv.Atoi(part); err == nil && i >= 1 && i <= len(n.entries) && n.entries[i-1].name() == "" {
		return n.entries[i-1]
	}
	return nil
}

// at is where a node is pointed at: its header, else its first key.
func (n *node) at() source.Span {
	switch {
	case n.header != nil:
		return n.header.at
	case len(n.words) > 0:
		return n.words[0]
	case n.number > 0 && n.parent != nil && len(n.parent.words) > 0:
		return n.parent.words[0]
	}
	return source.Span{}
}
