package editor

import (
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// family is the outlines of the files that together are one job: of the document
// first, then of every other one. What is open counts as it is typed.
func family(w *Workspace, d *Document) []*outline { return familyOf(w, d, d.Path) }

// familyOf is the outlines of the document and of every file of the open jobs
// that a file is part of.
func familyOf(w *Workspace, d *Document, path string) []*outline {
	out := []*outline{newOutline(d.File)}
	seen := map[string]bool{d.Path: true}
	add := func(of *Document) {
		if !of.reads(path) {
			return
		}
		for _, f := range of.Job.Files {
			if seen[f.Name] || !strings.HasSuffix(strings.ToLower(f.Name), ".toml") {
				continue
			}
			seen[f.Name] = true
			if open := w.At(f.Name); open != nil {
				f = open.File
			}
			out = append(out, newOutline(f))
		}
	}
	add(d)
	for _, name := range slices.Sorted(maps.Keys(w.documents)) {
		add(w.documents[name])
	}
	return out
}

// mostShelved bounds the files of a folder of equipment that are looked through
// for names.
const mostShelved = 200

// shelved is the outlines of the files in the folder of equipment that a document
// names; the job has those of its types that it uses alone.
func shelved(w *Workspace, d *Document) []*outline {
	name, v := newOutline(d.File).root.text(equipmentKey)
	if v == nil || !strings.Contains(d.Path, "/") {
		return nil
	}
	folder := besideOf(d.Path, name)
	read := w.beside(d)
	names, err := read(folder + "/")
	if err != nil {
		return nil // the diagnostic says so
	}
	var out []*outline
	for name := range strings.Lines(string(names)) {
		file := folder + "/" + strings.TrimSuffix(name, "\n")
		if !strings.EqualFold(filepath.Ext(file), ".toml") || len(out) == mostShelved || d.reads(file) {
			continue
		}
		if text, err := read(file); err == nil {
			out = append(out, newOutline(source.NewFile(file, text)))
		}
	}
	return out
}

// listOf finds the list of the entries of a kind; nil for none.
func (o *outline) listOf(kind string) *node {
	if f, known := job.Model().Field(kind); !known || f.Kind != job.KindTables {
		return nil
	}
	return o.root.get(kind)
}

// namesOf lists the names of the things of a kind, in the order of the files.
func namesOf(files []*outline, kind string) []string {
	if kind == "service" {
		return []string{kind}
	}
	var out []string
	seen := map[string]bool{"": true}
	for _, o := range files {
		if n := o.listOf(kind); n != nil {
			for _, e := range n.entries {
				if name := e.name(); !seen[name] {
					seen[name] = true
					out = append(out, name)
				}
			}
		}
	}
	return out
}

// kindsOf lists the kinds of things that a value of a key names; nil where it
// names none. composed tells that a number stands before the name, as in "4 x south".
func (n *node) kindsOf() (kinds []string, composed bool) {
	f := n.field
	if f == nil {
		return nil, false
	}
	switch {
	case n.pattern && f.Key == "like" && n.parent != nil && n.parent.number > 0:
		return []string{n.parent.key}, false
	case f.Ref != "":
		return []string{f.Ref}, false
	case len(f.AnyOf) > 0:
		return f.AnyOf, false
	case n.path() == "document.for":
		return papersAreFor, false
	case n.path() == "string.other_arrays":
		return []string{"array"}, true
	case n.path() == "string.extra_modules":
		return []string{"module_type"}, true
	}
	return nil, false
}

// papersAreFor are the kinds of things that a paper of the submittal may be for,
// which the model leaves open since it may be for a subject of its own as well.
var papersAreFor = []string{
	"module_type", "inverter_type", "converter_type", "mounting_type", "fastener_type",
	"inverter", "combiner", "disconnect", "overcurrent", "panel", "transformer", "array", "plane",
}

// texts lists the texts of a value: itself, or those of a list.
func (v *value) texts() []*value {
	switch {
	case v == nil:
		return nil
	case v.kind == quoted:
		return []*value{v}
	}
	var out []*value
	for _, e := range v.elements {
		out = append(out, e.texts()...)
	}
	return out
}

// mention is one place where the name of a thing stands.
type mention struct {
	at     source.Span // of the text, with its quotes
	node   *node
	before string // what stands before the name in the text: "4 x "
	name   string
	after  string // and behind it: " 2" of one of the strings that count makes
	gives  bool   // the thing gets its name here
}

// named is a thing that has a name.
type named struct{ kind, name string }

// mentionAt is the mention of the text at a place, with the kinds of things that
// it may name; false where none is.
func mentionAt(c cursor) (m mention, kinds []string, ok bool) {
	if c.spot != inValue || c.value == nil || c.value.kind != quoted || c.pair.node == nil {
		return mention{}, nil, false
	}
	n := c.pair.node
	m = mention{at: c.value.at, node: n, name: c.value.text}
	if n.key == "name" && n.parent != nil && n.parent.number > 0 && n.parent.parent.parent.isRoot() && n.parent.table != nil && n.parent.table.Named() {
		m.gives = true
		return m, []string{n.parent.key}, true
	}
	kinds, composed := n.kindsOf()
	if composed {
		m.split()
	}
	return m, kinds, len(kinds) > 0
}

func (n *node) isRoot() bool { return n != nil && n.parent == nil }

// split parts "4 x south" into number and name.
func (m *mention) split() {
	if number, name, cut := strings.Cut(m.name, " x "); cut {
		trimmed := strings.TrimSpace(name)
		lead := strings.Index(name, trimmed)
		m.before, m.name, m.after = number+" x "+name[:lead], trimmed, name[lead+len(trimmed):]
	}
}

// mentions lists where a file names a thing.
func (o *outline) mentions(t named, many bool) []mention {
	var out []mention
	for _, p := range o.pairs {
		n := p.node
		if p.value == nil || n == nil || n.pair != p {
			continue
		}
		for _, v := range p.value.texts() {
			m, kinds, ok := mentionAt(cursor{spot: inValue, pair: p, value: v})
			if !ok || !slices.Contains(kinds, t.kind) {
				continue
			}
			if number, made := memberOf(m.name, t.name); many && made && !m.gives {
				m.name, m.after = t.name, number+m.after
			}
			if m.name == t.name {
				out = append(out, m)
			}
		}
	}
	return out
}

// memberOf reports whether a name is that of one of the strings that count
// makes of one, and gives the number behind it.
func memberOf(name, of string) (number string, ok bool) {
	number, ok = strings.CutPrefix(name, of+" ")
	return " " + number, ok && number != "" && strings.Trim(number, "0123456789") == "" && number[0] != '0'
}

// counted reports whether an entry stands for several.
func (n *node) counted() bool {
	return n != nil && n.parent != nil && n.parent.path() == "string" && n.get("count") != nil
}

// thing finds what a mention names: the entry of one of the kinds with that
// name, in whatever file; nil for none. Several entries of a name of different
// kinds are all given.
func things(files []*outline, kinds []string, name string) []*node {
	var out []*node
	for _, kind := range kinds {
		for _, o := range files {
			list := o.listOf(kind)
			if list == nil {
				continue
			}
			for _, e := range list.entries {
				own := e.name()
				_, member := memberOf(name, own)
				if own != "" && (own == name || member && e.counted()) {
					out = append(out, e)
				}
			}
		}
	}
	return out
}

// system is the units that the job is written in.
func (d *Document) system() quantity.System {
	if d.Job == nil {
		return quantity.US
	}
	return d.Job.System()
}

// isMain reports whether the document is the file that a job begins with, so that
// entries without a name have the same numbers in both.
func (d *Document) isMain() bool { return d.Job == nil || d.Job.Files[0].Name == d.Path }
