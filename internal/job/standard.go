package job

import (
	"fmt"
	"io/fs"
	"maps"
	"path"
	"reflect"
	"slices"
	"strings"
	"sync"

	"github.com/BurntSushi/toml"

	"plumbrule/internal/source"
	"plumbrule/rules"
)

// standardKey names the standard sets of a job.
const standardKey = "standard"

// standardPattern are the patterns at the top of a job.
type standardPattern struct {
	Standard Texts `key:"standard" sets:"yes" doc:"standard sets, whose labels and papers the job has as they are; an entry of the job with the same name adds to that of a set or says otherwise"`
	Without  Texts `key:"without" doc:"with standard: entries of those sets that the job does not have, such as \"label.directory\""`
}

// StandardSet is a set of entries that jobs of a kind have alike: the labels
// that the checks of an edition ask of a scheme, the papers that an authority
// asks of a kind of building. What differs from job to job, such as a voltage on
// a label, is left open.
type StandardSet struct {
	Name    string
	Meaning string
	entries []standing
}

// Gives lists the entries of the set as a job names them, such as
// "label.directory"; one that is made for each thing of a kind has {name} in the
// place of its name.
func (s StandardSet) Gives() []string {
	var out []string
	for _, x := range s.entries {
		name, _ := x.values["name"].(string)
		out = append(out, x.list+"."+name)
	}
	return out
}

// standing is an entry of a set.
type standing struct {
	list   string
	each   string // a kind of thing: the entry is made for each of them that the job puts to use; "" for one entry
	values map[string]any
}

// setFile is a file of package rules: one set, or one for each edition of a
// code, of which the name of the set then has the place {edition}.
type setFile struct {
	Names    []string `toml:"names"` // of the same set, by which people may look for it
	Meaning  string   `toml:"meaning"`
	Editions []string `toml:"editions"`
	Entry    []struct {
		List     string            `toml:"list"`
		Each     string            `toml:"each"`
		Because  string            `toml:"because"`  // why it is in the set
		Sections map[string]string `toml:"sections"` // of the code, by the editions whose sets have the entry
		Source   string            `toml:"source"`   // of an entry of a set without editions
		Values   map[string]any    `toml:"values"`
	} `toml:"entry"`
}

const editionMark = "{edition}"

// nameMark stands for the thing that an entry with each is made for.
const nameMark = "{name}"

// StandardSets lists the standard sets. They are read once and are the same for
// every caller, who must not change them.
var StandardSets = sync.OnceValue(func() (sets []StandardSet) {
	names, _ := fs.Glob(rules.FS, "sets/*/*.toml") // it fails on a wrong pattern alone
	for _, name := range names {
		text, err := rules.FS.ReadFile(name)
		var f *setFile
		if err == nil {
			f, err = readSet(text)
		}
		if err != nil {
			panic(fmt.Sprintf("%s: %v", path.Base(name), err)) // embedded, so that every test would show it
		}
		sets = append(sets, f.sets()...)
	}
	return sets
})

// readSet gives what a file of sets says.
func readSet(text []byte) (*setFile, error) {
	if is := readySets()[sumOf(text)]; is != nil {
		return is, nil
	}
	var f setFile
	_, err := toml.Decode(string(text), &f)
	return &f, err
}

// sets makes the sets of a file, those of one name together.
func (f *setFile) sets() (sets []StandardSet) {
	editions := f.Editions
	if len(editions) == 0 {
		editions = []string{""}
	}
	for _, name := range f.Names {
		for _, edition := range editions {
			s := StandardSet{Name: strings.ReplaceAll(name, editionMark, edition), Meaning: f.Meaning}
			for _, x := range f.Entry {
				if _, has := x.Sections[edition]; has || edition == "" {
					s.entries = append(s.entries, standing{x.List, x.Each, x.Values})
				}
			}
			sets = append(sets, s)
		}
	}
	return sets
}

// standards puts in the entries of the standard sets.
func (e *expansion) standards() {
	names, leaves := e.root.get(standardKey), e.root.get(withoutKey)
	var p standardPattern
	if !e.takeOut(Model(), e.root, "", &p) {
		return
	}
	if p.Without.Known && !p.Standard.Known {
		e.fault(p.Without.At, p.Without.Key, "", "there is no standard set to leave anything out of")
		return
	}
	var without []*left
	for i, key := range p.Without.Value {
		without = append(without, &left{key: canonical(key), element: leaves.list[i]})
	}
	for i, name := range p.Standard.Value {
		if slices.Contains(p.Standard.Value[:i], name) {
			e.fault(names.list[i].span(), p.Standard.Key, "each set is expected once", "%q is given twice", shorten(name))
			continue
		}
		sets := StandardSets()
		set := sets[slices.IndexFunc(sets, func(s StandardSet) bool { return s.Name == name })]
		for _, entry := range set.entries {
			for _, values := range e.each(entry) {
				if !e.stand(name, entry.list, plant(values, names.list[i].at), without) {
					return
				}
			}
		}
	}
	var all []string
	for _, key := range slices.Sorted(maps.Keys(e.stood)) {
		parts, _ := SplitKey(key)
		all = append(all, strings.Join(parts, "."))
	}
	for i, l := range without {
		if !l.found {
			e.faults = append(e.faults, source.Fault{At: l.element.span(), Path: p.Without.Key, Message: fmt.Sprintf("%s: no standard set of the job has %q", p.Without.Key, shorten(p.Without.Value[i])),
				Expected: `the key of an entry is expected, such as "label.directory"`, Nearest: e.searches.nearest(p.Without.Value[i], all)})
		}
	}
}

// each gives the values of an entry, once for each thing that it is made for.
func (e *expansion) each(entry standing) (all []map[string]any) {
	if entry.each == "" {
		return []map[string]any{entry.values}
	}
	for _, name := range e.used(entry.each) {
		values := map[string]any{}
		for key, value := range entry.values {
			if text, ok := value.(string); ok {
				value = strings.ReplaceAll(text, nameMark, name)
			}
			values[key] = value
		}
		all = append(all, values)
	}
	return all
}

// used lists the things of a kind that the job has and puts to use, in the order
// in which it does.
func (e *expansion) used(kind string) (names []string) {
	has := map[string]bool{}
	if list := e.root.get(kind); list != nil {
		for _, entry := range list.list {
			name, _ := entry.get("name").text()
			has[name] = strings.TrimSpace(name) != ""
		}
	}
	var walk func(t *Table, n *node)
	walk = func(t *Table, n *node) {
		for _, f := range t.Fields {
			child := n.get(f.Key)
			switch {
			case child == nil:
			case f.Kind == KindTable:
				walk(f.Table, child)
			case f.Kind == KindTables:
				for _, element := range child.list {
					walk(f.Table, element)
				}
			case f.Ref == kind:
				for _, n := range append([]*node{child}, child.list...) {
					if name, ok := n.text(); ok && has[name] && !slices.Contains(names, name) {
						names = append(names, name)
					}
				}
			}
		}
	}
	walk(Model(), e.root)
	return names
}

// stand puts an entry of a set into its list, or gives the job's own of that name
// what it does not state; false where the sets contradict one another or are too
// much.
func (e *expansion) stand(set, kind string, entry *node, without []*left) bool {
	name, _ := entry.get("name").text()
	key := Join(kind, name)
	switch {
	case leave(without, key):
		return true
	case e.stood[key]:
		e.fault(entry.span(), standardKey, "sets of one edition and scheme are expected", "%q has %s, which another of the sets has, too", set, shorten(key))
		return false
	case !e.make(entry.span(), standardKey, entry.size()):
		return false
	}
	e.stood[key] = true
	f, _ := Model().Field(kind)
	list := e.root.get(kind)
	if list == nil {
		list = &node{at: entry.at, list: []*node{}}
		e.root.table[kind] = list
	}
	if !list.holdsTables() {
		return true // which is said when the job is read
	}
	for _, own := range list.list {
		if stated, _ := own.get("name").text(); stated == name {
			l := lineage{expansion: e, f: f}
			l.take(kind, key, own, entry, source.Further{}, e.leaves[own])
			return true
		}
	}
	list.list = append(list.list, entry)
	return true
}

// left is a key that an entry does not take, or an entry that a job does not.
type left struct {
	key     string // from the top of the job
	element *node
	found   bool // there is such a thing to take
}

// canonical writes a key as findings do, whose parts need quotes only where a
// sign in them asks for it.
func canonical(key string) string {
	parts, ok := SplitKey(key)
	if !ok {
		return key
	}
	key = ""
	for _, part := range parts {
		key = Join(key, part)
	}
	return key
}

// leave reports whether a key is left.
func leave(leaves []*left, key string) bool {
	for _, l := range leaves {
		if l.key == key {
			l.found = true
			return true
		}
	}
	return false
}

// leftOut reads what the entries of a list do not take.
func (e *expansion) leftOut(f *Field, list *node) {
	for i, entry := range list.list {
		leaves := entry.get(withoutKey)
		if leaves == nil {
			continue
		}
		delete(entry.table, withoutKey)
		name, _ := entry.get("name").text()
		key := elementKey(f, f.Key, i, name)
		var p entryPattern
		b := &binder{}
		pattern := &Table{Fields: describe(reflect.TypeFor[entryPattern]()).Fields}
		b.table(pattern, &node{at: entry.at, table: map[string]*node{withoutKey: leaves}}, reflect.ValueOf(&p).Elem(), key, entry.span())
		e.faults = append(e.faults, b.faults...)
		for i, k := range p.Without.Value {
			e.leaves[entry] = append(e.leaves[entry], &left{key: canonical(key + "." + k), element: leaves.list[i]})
		}
	}
}

// needless refuses what entries leave and could not take: keys that there are
// not, and all keys of an entry that is like no other and in no set.
func (e *expansion) needless(f *Field, list *node, takes map[*node]bool) {
	for i, entry := range list.list {
		name, _ := entry.get("name").text()
		key := elementKey(f, f.Key, i, name)
		for _, l := range e.leaves[entry] {
			switch near, known := e.knows(f.Table, strings.TrimPrefix(l.key, key+".")); {
			case !takes[entry] && !e.stood[key]:
				e.fault(l.element.span(), Join(key, withoutKey), "", "there is nothing to leave out, as the entry is like no other and in no standard set")
			case !known:
				e.faults = append(e.faults, source.Fault{At: l.element.span(), Path: l.key, Message: fmt.Sprintf("%s: there is no such key to leave out", shorten(l.key)), Nearest: near})
			}
		}
	}
}

// knows reports whether a table may have a key, given from the table on; else
// it gives the word that was probably meant.
func (e *expansion) knows(t *Table, key string) (near string, known bool) {
	parts, _ := SplitKey(key)
	for i, part := range parts {
		f, known := t.Field(part)
		_, pattern := t.Pattern(part)
		last := i == len(parts)-1
		switch {
		case pattern && last && part != likeKey && part != withoutKey:
			return "", true
		case !known:
			return e.searches.nearest(part, slices.DeleteFunc(t.written(), func(k string) bool { return k == likeKey || k == withoutKey })), false
		case last:
			return "", true
		case f.Kind != KindTable:
			return "", false
		}
		t = f.Table
	}
	return "", false
}
