package job

import (
	"fmt"
	"maps"
	"path"
	"slices"
	"strings"

	"plumbrule/internal/bound"
	"plumbrule/internal/source"
)

// A folder of equipment holds the types that a firm uses again and again, one
// or several in a file. A job that names the folder takes from it the types
// that the job names, as if they stood in the job, and nothing else: an entry
// that a reference names joins its list, and one that only like names gives its
// values and is no part of the job. What the files hold besides is not read.
//
// A name is that of one entry of a kind, in the job and the folder together.
// The job may complete an entry of the folder under its own name, by like.

// equipmentKey names the folder.
const equipmentKey = "equipment"

// equipmentDoc is what the key says.
const equipmentDoc = "folder with files of equipment, relative to this file: the types of modules, inverters, converters, mountings and fasteners that this job names and does not hold are taken from there"

// equipmentKinds are the lists that a file of equipment may hold.
var equipmentKinds = []string{"module_type", "inverter_type", "converter_type", "mounting_type", "fastener_type"}

// folder is a folder of equipment that a file names.
type folder struct {
	path string
	name string // as the file has it
	at   source.Span
}

// folder takes the name of the folder of equipment off the top table.
func (r *reader) folder(f *source.File, root *node) {
	n := root.get(equipmentKey)
	if n == nil {
		return
	}
	delete(root.table, equipmentKey)
	const expected = `the name of a folder beside the job is expected, such as "equipment"`
	name, ok := n.text()
	if !ok {
		r.refuse(n.span(), "equipment: found "+found(n), expected)
		return
	}
	path, problem := relative(f, name)
	if problem != "" {
		r.refuse(n.span(), fmt.Sprintf("equipment: %q %s", shorten(name), problem), expected)
		return
	}
	if !slices.ContainsFunc(r.folders, func(other folder) bool { return other.path == path }) {
		r.folders = append(r.folders, folder{path, name, n.span()})
	}
}

// shelf is what the files of the folders of equipment hold.
type shelf struct {
	entries map[string]map[string][]*node // by kind and name; more than one is a fault once it is used
	names   map[string][]string           // by kind, in the order of the files
	files   map[*source.File]bool
}

// shelve reads the folders of equipment; nil where the job names none.
func (r *reader) shelve() *shelf {
	if len(r.folders) == 0 {
		return nil
	}
	s := &shelf{entries: map[string]map[string][]*node{}, names: map[string][]string{}, files: map[*source.File]bool{}}
	for _, kind := range equipmentKinds {
		s.entries[kind] = map[string][]*node{}
	}
	files, size := 0, 0
	for _, d := range r.folders {
		names, err := r.list(d.path)
		if err != nil {
			r.refuse(d.at, fmt.Sprintf("equipment: %q: %s", shorten(d.name), folderReason(err)), "")
			continue
		}
		for _, name := range names {
			path := clean(path.Join(d.path, name))
			if slices.ContainsFunc(r.files, func(f *source.File) bool { return clean(f.Name) == path }) {
				continue // the job itself, or what it includes
			}
			text, err := r.open(path)
			if err != nil {
				r.refuse(d.at, fmt.Sprintf("equipment: %q: %s: %s", shorten(d.name), shorten(name), reason(err)), "")
				continue
			}
			if files, size = files+1, size+len(text); files > bound.EquipmentFiles || size > bound.AllBytes {
				r.refuse(d.at, fmt.Sprintf("equipment: %q holds more than %d files or %d MiB", shorten(d.name), bound.EquipmentFiles, bound.AllBytes>>20), "a folder that holds files of equipment only is expected")
				return s
			}
			r.shelveFile(s, source.NewFile(path, text))
		}
	}
	return s
}

// list gives the names of the files of a folder that hold equipment, sorted.
// Files that begin with a dot are those that editors and systems leave behind.
func (r *reader) list(folder string) ([]string, error) {
	text, err := r.open(folder + "/")
	if err != nil {
		return nil, err
	}
	var names []string
	for name := range strings.Lines(string(text)) {
		name = strings.TrimSuffix(name, "\n")
		if strings.EqualFold(path.Ext(name), ".toml") && !strings.HasPrefix(name, ".") {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names, nil
}

// folderReason says why a folder could not be read.
func folderReason(err error) string {
	if text := reason(err); text != "there is no such file" {
		return text
	}
	return "there is no such folder"
}

// shelveFile puts the entries of one file on the shelf.
func (r *reader) shelveFile(s *shelf, f *source.File) {
	root, err := decode(f)
	if err != nil {
		r.faults = append(r.faults, err...)
		r.partial = true
		return
	}
	if faults := tooLong(root, ""); len(faults) > 0 {
		r.faults = append(r.faults, faults...)
		r.partial = true
		return
	}
	s.files[f] = true
	for _, key := range root.keys() {
		n := root.table[key]
		switch {
		case !slices.Contains(equipmentKinds, key):
			r.add(n.keySpan(), fmt.Sprintf("unknown key %q in a file of equipment", shorten(key)), "the keys are "+strings.Join(equipmentKinds, ", "))
		case !n.holdsTables():
			r.add(n.span(), key+": found "+found(n), fmt.Sprintf("a repeated table is expected, written [[%s]]", key))
		default:
			for _, entry := range n.list {
				name, ok := entry.get("name").text()
				if !ok || strings.TrimSpace(name) == "" {
					r.add(entry.span(), fmt.Sprintf("%s in a file of equipment has no name", article(key)), "a text in quotes is expected")
					continue
				}
				if s.entries[key][name] == nil {
					s.names[key] = append(s.names[key], name)
				}
				s.entries[key][name] = append(s.entries[key][name], entry)
			}
		}
	}
}

// entry finds what the shelf has under a name; nil for nothing.
func (s *shelf) entry(kind, name string) []*node {
	if s == nil {
		return nil
	}
	return s.entries[kind][name]
}

// known lists the names of a kind that a job may use: those that it has, and
// those on the shelf.
func (s *shelf) known(kind string, names []string) []string {
	if s == nil || len(s.names[kind]) == 0 {
		return names
	}
	all := slices.Concat(names, s.names[kind])
	slices.Sort(all)
	return slices.Compact(all)
}

// equip puts the entries of the shelf that the job names into their lists, and
// refuses names that are not those of one entry.
func (e *expansion) equip() {
	if e.shelf == nil {
		return
	}
	for _, kind := range equipmentKinds {
		if list := e.root.get(kind); list != nil {
			e.clashes(kind, list)
		}
	}
	e.equipFor(Model(), "", e.root)
}

// clashes refuses entries of a job that have the name of one on the shelf,
// unless they are like it.
func (e *expansion) clashes(kind string, list *node) {
	for _, entry := range list.list {
		name, _ := entry.get("name").text()
		shelved := e.shelf.entry(kind, name)
		if len(shelved) == 0 || e.moved[Join(kind, name)] {
			continue
		}
		if like, _ := entry.get(likeKey).text(); like == name {
			continue
		}
		e.faults = append(e.faults, source.Fault{At: entry.get("name").span(), Path: Join(Join(kind, name), "name"),
			Message:  fmt.Sprintf("%s %q stands in the job and in the folder of equipment", kind, shorten(name)),
			Expected: fmt.Sprintf("one of the two is expected, or like = %q in the job, which takes what it does not state from the folder", shorten(name)),
			Also:     []source.Further{{At: shelved[0].get("name").span(), Note: "the entry of the folder"}}})
	}
}

// equipFor takes what a table names, and what that names in turn.
func (e *expansion) equipFor(t *Table, kind string, n *node) {
	for _, f := range t.Fields {
		child := n.get(f.Key)
		switch {
		case child == nil:
		case f.Kind == KindTable && child.isTable():
			e.equipFor(f.Table, f.Key, child)
		case f.Kind == KindTables:
			for i := 0; i < len(child.list); i++ { // it may grow
				e.equipFor(f.Table, f.Key, child.list[i])
			}
		case kind == "string" && f.Key == "extra_modules":
			for _, element := range child.list {
				text, _ := element.text()
				_, name, _ := strings.Cut(text, " x ")
				e.equipWith("module_type", strings.TrimSpace(name))
			}
		case f.Ref == "" || !slices.Contains(equipmentKinds, f.Ref):
		case f.Kind == KindText:
			name, _ := child.text()
			e.equipWith(f.Ref, name)
		case f.Kind == KindTexts && !e.shelf.files[n.at.Best().File]:
			for _, element := range child.list {
				name, _ := element.text()
				e.equipWith(f.Ref, name)
			}
		}
	}
}

// equipWith takes one entry from the shelf, where it is there and the job does
// not have it.
func (e *expansion) equipWith(kind, name string) {
	shelved := e.shelf.entry(kind, name)
	if len(shelved) == 0 || e.moved[Join(kind, name)] {
		return
	}
	list := e.root.get(kind)
	if list == nil {
		list = &node{at: placedAt(shelved[0].span()), list: []*node{}}
		e.root.table[kind] = list
	}
	if !list.isList() || list.ofName(name) != nil {
		return
	}
	entry := e.lend(kind, name)
	list.list = append(list.list, entry)
	if f, ok := Model().Field(kind); ok {
		e.equipFor(f.Table, kind, entry)
	}
}

// lend gives a copy of the entry of a name on the shelf, the same at each call.
// nil where there is none.
func (e *expansion) lend(kind, name string) *node {
	shelved := e.shelf.entry(kind, name)
	key := Join(kind, name)
	if len(shelved) == 0 || e.lent[key] != nil {
		return e.lent[key]
	}
	if len(shelved) > 1 {
		fault := source.Fault{At: shelved[1].get("name").span(), Path: Join(key, "name"), Message: fmt.Sprintf("%s %q stands in the folder of equipment more than once", kind, shorten(name)),
			Expected: "each name once is expected", Also: []source.Further{{At: shelved[0].get("name").span(), Note: source.FirstHere}}}
		for _, more := range shelved[2:] {
			fault.Also = append(fault.Also, source.Further{At: more.get("name").span(), Note: "and here"})
		}
		e.faults = append(e.faults, fault)
	}
	entry := shelved[0].clone()
	e.lent[key] = entry
	if f := entry.span().File; !slices.Contains(e.files, f) {
		e.files = append(e.files, f)
	}
	return entry
}

// trim leaves out of lists that files of equipment state, such as the modules
// for which a mounting is listed, the names that only the shelf has: types that
// this job does not use.
func (e *expansion) trim() {
	if e.shelf == nil {
		return
	}
	for _, kind := range equipmentKinds {
		f, ok := Model().Field(kind)
		list := e.root.get(kind)
		if !ok || list == nil {
			continue
		}
		for _, f := range f.Table.Fields {
			if f.Kind != KindTexts || !slices.Contains(equipmentKinds, f.Ref) {
				continue
			}
			for _, entry := range list.list {
				if names := entry.get(f.Key); names != nil && names.isList() {
					entry.table[f.Key] = e.trimmed(f.Ref, names)
				}
			}
		}
	}
}

// trimmed is a list of names without those of entries that the job has not taken.
func (e *expansion) trimmed(kind string, names *node) *node {
	unused := func(element *node) bool {
		name, _ := element.text()
		return e.shelf.files[element.span().File] && len(e.shelf.entry(kind, name)) > 0 && e.root.get(kind).ofName(name) == nil
	}
	return &node{at: names.at, list: slices.DeleteFunc(slices.Clone(names.list), unused)}
}

// moveIn puts what a tree takes from the shelf into it as entries of its own,
// so that edits reach them. From then on the shelf gives them no more by a
// reference: an entry that an edit leaves out stays away.
func (t *Tree) moveIn() *Tree {
	if t.shelf == nil {
		return t
	}
	e := &expansion{root: t.root.clone(), shelf: t.shelf, moved: t.moved, lent: map[string]*node{}, files: slices.Clone(t.files)}
	e.equip()
	moved := maps.Clone(t.moved)
	for _, kind := range equipmentKinds {
		if list := e.root.get(kind); list != nil {
			for _, entry := range list.list {
				if name, _ := entry.get("name").text(); len(t.shelf.entry(kind, name)) > 0 {
					moved[Join(kind, name)] = true
				}
			}
		}
	}
	return &Tree{root: e.root, files: e.files, open: t.open, faults: slices.Concat(t.faults, e.faults), shelf: t.shelf, moved: moved}
}

// ofName finds the entry of a name in a list; nil for none.
func (n *node) ofName(name string) *node {
	if n == nil {
		return nil
	}
	for _, entry := range n.list {
		if own, named := entry.get("name").text(); named && own == name {
			return entry
		}
	}
	return nil
}

// EquipmentKinds lists the kinds of entries that a file of equipment may hold.
func EquipmentKinds() []string { return slices.Clone(equipmentKinds) }
