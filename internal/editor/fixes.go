package editor

import (
	"fmt"
	"slices"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/source"
	"plumbrule/internal/wording"
)

// fixes lists what can be done about what is found at a stretch: the nearest key,
// word or unit in the place of a wrong one, and keys that are missing, each put
// in as a comment with an example of its form. No value is made up.
func fixes(w *Workspace, d *Document, p CodeActionParams) ([]CodeAction, error) {
	f := &fixer{w: w, d: d, o: newOutline(d.File), list: []CodeAction{}}
	if w.Client.TextDocument.CodeAction.Literal == nil { // which could only run commands
		return f.list, nil
	}
	if len(p.Context.Only) > 0 && !slices.Contains(p.Context.Only, QuickFix) {
		return f.list, nil
	}
	var missing []string
	for _, g := range p.Context.Diagnostics {
		if g.Data == nil {
			continue
		}
		if g.Data.Nearest != "" {
			f.nearest(g)
		}
		if g.Data.Nearest == "" && f.requires(g.Data.Path) {
			f.missing(fmt.Sprintf("Put in %s as a comment", g.Data.Path), []string{g.Data.Path}, g)
		}
		for i, key := range g.Data.Missing {
			if !slices.Contains(missing, key) {
				missing = append(missing, key)
				if i < mostFixes {
					f.missing(fmt.Sprintf("Put in %s as a comment", key), []string{key}, g)
				}
			}
		}
		if len(g.Data.Missing) > 1 {
			f.missing(fmt.Sprintf("Put in all %d of these keys as comments", len(g.Data.Missing)), g.Data.Missing, g)
		}
	}
	f.all(p.Range, missing)
	return f.list, nil
}

// mostFixes is how many keys of one diagnostic are offered one by one.
const mostFixes = 4

type fixer struct {
	w    *Workspace
	d    *Document
	o    *outline
	list []CodeAction
}

func (f *fixer) add(title string, edits map[string][]TextEdit, preferred bool, of ...Diagnostic) {
	f.list = append(f.list, CodeAction{Title: title, Kind: QuickFix, Diagnostics: of, IsPreferred: preferred, Edit: &WorkspaceEdit{edits}})
}

// nearest puts the word that was probably meant in the place of the wrong one: a
// key, a word in quotes, or the unit of a value.
func (f *fixer) nearest(g Diagnostic) {
	at := f.o.span(f.d.Offset(g.Range.Start), f.d.Offset(g.Range.End))
	c := f.o.cursorAt(at.Start)
	if at.End > at.Start {
		c = f.o.cursorAt(at.Start + 1)
	}
	text := ""
	switch {
	case c.spot == atKey:
		at, text = c.at(f.o), source.Key("", g.Data.Nearest)
	case c.spot == inHeader && c.word >= 0:
		at, text = c.at(f.o), source.Key("", g.Data.Nearest)
	case c.spot == inValue && c.pair.node != nil:
		v := f.wrong(c, at, g)
		if v == nil {
			return
		}
		at, text = v.at, f.right(c.pair.node, v, g.Data.Nearest)
	}
	if text == "" || text == at.Text() {
		return
	}
	f.add(fmt.Sprintf("Write %s", text), map[string][]TextEdit{f.d.URI: {{f.d.Range(at), text}}}, true, g)
}

// wrong is the text that a diagnostic of a value means: the one at its place, or
// of a list the one that its message names; nil where that cannot be told.
func (f *fixer) wrong(c cursor, at source.Span, g Diagnostic) *value {
	if c.value != nil && c.value.kind != list && at.Start >= c.value.at.Start {
		return c.value
	}
	var found *value
	for _, v := range c.pair.value.texts() {
		m := mention{name: v.text}
		m.split()
		if strings.Contains(g.Message, fmt.Sprintf("%q", v.text)) || m.before != "" && strings.Contains(g.Message, fmt.Sprintf("%q", m.name)) {
			if found != nil {
				return nil
			}
			found = v
		}
	}
	return found
}

// right is a text with the nearest word in it: that of a value with a unit keeps
// its number, that of several arrays their count.
func (f *fixer) right(n *node, v *value, nearest string) string {
	if n.field == nil {
		return ""
	}
	if v.kind == quoted && (hasUnit(n.field.Kind) || n.field.Kind == job.KindSize) {
		if number := numberOf(v.text); number != "" && numberOf(nearest) == "" {
			at := strings.Index(v.text, number) + len(number)
			gap := v.text[at : len(v.text)-len(strings.TrimLeft(v.text[at:], " "))]
			return job.Quote(v.text[:at] + gap + nearest)
		}
		return job.Quote(nearest)
	}
	if v.kind != quoted {
		return job.Quote(nearest)
	}
	m := mention{name: v.text}
	if _, composed := n.kindsOf(); composed {
		m.split()
	} else {
		m.before, m.after = "", ""
	}
	return job.Quote(m.before + nearest + m.after)
}

// all puts in all that is missing in the table at a place, where that is more
// than was offered.
func (f *fixer) all(at Range, offered []string) {
	if f.d.Review == nil {
		return
	}
	c := f.o.cursorAt(f.d.Offset(at.Start))
	table := c.table
	if c.spot == inHeader || c.spot == beyond && c.header != nil {
		table = c.header.opens
	}
	if table.isRoot() {
		return
	}
	var keys []string
	for _, m := range f.d.Review.Missing() {
		for _, s := range m.Slots {
			if owner, _ := f.owner(s.Key); owner == table && !slices.Contains(keys, s.Key) {
				keys = append(keys, s.Key)
			}
		}
	}
	if len(keys) > 1 || len(keys) == 1 && !slices.Contains(offered, keys[0]) {
		f.missing(fmt.Sprintf("Put in all that is missing in %s as comments (%s)", wording.Header(table.path(), table.number > 0), wording.Plural(len(keys), "key", "keys")), keys)
	}
}

// owner is the table of the text that a key belongs to, and the keys of the
// tables below it that it needs, which a header does not open yet.
func (f *fixer) owner(key string) (n *node, rest []string) {
	parts, ok := job.SplitKey(key)
	for i := len(parts) - 1; ok && i > 0; i-- {
		prefix := ""
		for _, part := range parts[:i] {
			prefix = job.Join(prefix, part)
		}
		if n := f.o.find(prefix); n != nil && len(n.entries) == 0 && n.header != nil {
			return n, parts[i:]
		}
	}
	return nil, nil
}

// fieldOf is the key that the last of some keys below a table is; nil for none.
func fieldOf(n *node, rest []string) *job.Field {
	if n == nil || n.table == nil {
		return nil
	}
	t := n.table
	for i, key := range rest {
		f, known := t.Field(key)
		switch {
		case !known:
			return nil
		case i == len(rest)-1:
			return f
		case f.Kind != job.KindTable:
			return nil
		}
		t = f.Table
	}
	return nil
}

// requires reports whether the job cannot be read without a key, which the text
// lacks.
func (f *fixer) requires(key string) bool {
	n, rest := f.owner(key)
	field := fieldOf(n, rest)
	return field != nil && field.Required && f.o.find(key) == nil
}

// missing puts in keys as comments, each at the end of its table. Keys that
// belong to another file, or that the text has, are passed over.
func (f *fixer) missing(title string, keys []string, of ...Diagnostic) {
	lines := map[int]*strings.Builder{}
	for _, key := range keys {
		n, rest := f.owner(key)
		field := fieldOf(n, rest)
		if field == nil || field.Table != nil || f.o.find(key) != nil {
			continue
		}
		at := f.o.lineEnd(n.header.said)
		if lines[at] == nil {
			lines[at] = &strings.Builder{}
		}
		dotted := ""
		for _, part := range rest {
			dotted = source.Key(dotted, part)
		}
		if f.commented(n.header, dotted) {
			continue
		}
		says, names := field.Doc, []string(nil)
		if f.d.Review != nil {
			if s, ok := f.d.Review.Job.Slot(key); ok {
				says, names = says+"; found: "+s.Find(), s.Names()
			}
		}
		fmt.Fprintf(lines[at], "%s# %s = %s  # %s", f.lineBreak(), dotted, field.Example(f.d.system(), names), wording.Plain(says))
	}
	if len(lines) == 0 {
		return
	}
	var edits []TextEdit
	for at, text := range lines {
		edits = append(edits, TextEdit{f.d.Range(f.o.span(at, at)), text.String()})
	}
	f.add(title, map[string][]TextEdit{f.d.URI: edits}, false, of...)
}

// commented reports whether a table has a key as a comment already.
func (f *fixer) commented(h *header, key string) bool {
	return slices.ContainsFunc(f.o.comments, func(at source.Span) bool {
		words, isKey := strings.CutPrefix(strings.TrimLeft(at.Text(), "# "), key)
		return h.at.Start < at.Start && at.Start < h.end && isKey && strings.HasPrefix(strings.TrimLeft(words, " "), "=")
	})
}

// lineBreak is the one that the file has.
func (f *fixer) lineBreak() string {
	if strings.Contains(string(f.d.File.Text), "\r\n") {
		return "\r\n"
	}
	return "\n"
}
