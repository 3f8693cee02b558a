package job

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// Edits alter a job before it is read. Keys are those of Given.Key:
// "array.south.origin", "string.S1.modules", "site.record_low"; a number
// counted from 1 steps into a list ("array.south.origin.2"). Values are as TOML
// decodes them. What is unset is left out, be it a value, a table or one of a
// list of tables. Doubled names entries of lists of tables, each with the name
// that a copy of it gets. Added names lists of tables ("panel"), each with the
// entries that join it. All unsetting comes first, then doubling, adding and
// setting. An edit that reaches into what a pattern makes, such as a value that
// came by like, writes that entry out first.
type Edits struct {
	Set     map[string]any
	Unset   []string
	Doubled map[string]string
	Added   map[string][]map[string]any
}

// With gives a tree with the edits made. An edit of something that the job
// does not have is a fault; a key that the model lacks shows when the tree is
// read.
func (t *Tree) With(e Edits) (*Tree, error) {
	t = t.moveIn()
	editor := editor{root: t.root.clone()}
	if hasPatterns(Model(), t.root) {
		editor.writeOut(t.expand(), e)
	}
	for _, key := range e.Unset {
		editor.apply(key, nil)
	}
	for _, key := range slices.Sorted(maps.Keys(e.Doubled)) {
		editor.double(key, e.Doubled[key])
	}
	for _, key := range slices.Sorted(maps.Keys(e.Added)) {
		editor.join(key, e.Added[key])
	}
	for _, key := range slices.Sorted(maps.Keys(e.Set)) {
		editor.apply(key, e.Set[key])
	}
	if err := editor.faults.Err(); err != nil {
		return nil, err
	}
	return &Tree{root: editor.root, files: t.files, open: t.open, faults: t.faults, shelf: t.shelf, moved: t.moved}, nil
}

type editor struct {
	root   *node
	faults source.Faults
}

// writeOut puts entries as their patterns make them in the place of the entries
// as they are written: those in which an edit would miss what only patterns
// make, and those that are like an entry that is left out.
func (e *editor) writeOut(whole *expansion, edits Edits) {
	one := func(key string, wanted func(parts []string) bool) {
		if parts, ok := SplitKey(key); ok && len(parts) > 1 && whole.root.follow(parts) != nil && wanted(parts) {
			e.replace(whole, parts[0], parts[1])
		}
	}
	unwritten := func(parts []string) bool { return e.root.follow(parts) == nil }
	for _, key := range edits.Unset {
		e.lists(whole, key)
		one(key, func(parts []string) bool { return unwritten(parts) || e.falls(whole, parts) })
		if parts, ok := SplitKey(key); ok && len(parts) == 2 {
			e.orphans(whole, parts[0], parts[1])
		}
	}
	for key := range edits.Doubled {
		one(key, unwritten)
	}
	for key := range edits.Set {
		e.lists(whole, key)
		one(key, func(parts []string) bool { return unwritten(parts) && whole.makes(parts) })
		if parts, ok := SplitKey(key); ok && len(parts) > 2 && unwritten(parts[:2]) && whole.root.follow(parts[:2]) != nil {
			e.replace(whole, parts[0], parts[1])
		}
	}
}

// falls reports whether an entry falls back on what it is like or on a standard
// set, so that what is taken out of it alone would come from there.
func (e *editor) falls(whole *expansion, parts []string) bool {
	entry := e.root.follow(parts[:2])
	return whole.stood[Join(parts[0], parts[1])] || len(parts) > 2 && entry != nil && entry.get(likeKey) != nil
}

// lists writes out what standard sets give of a list that is edited as a whole.
func (e *editor) lists(whole *expansion, kind string) {
	for _, key := range slices.Sorted(maps.Keys(whole.stood)) {
		if parts, _ := SplitKey(key); parts[0] == kind {
			e.replace(whole, parts[0], parts[1])
		}
	}
}

// orphans writes out the entries that are like one that is left out.
func (e *editor) orphans(whole *expansion, kind, name string) {
	list := e.root.get(kind)
	if list == nil {
		return
	}
	for _, entry := range slices.Clone(list.list) {
		own, _ := entry.get("name").text()
		if giver, _ := entry.get(likeKey).text(); giver == name && own != name {
			e.replace(whole, kind, own)
		}
	}
}

// replace puts what an entry, or a section, makes in its place. The name may be that of a
// string that one with count made: then all of that are put there. An entry of
// a standard set is no longer taken from it.
func (e *editor) replace(whole *expansion, kind, name string) {
	list := e.root.get(kind)
	if key := Join(kind, name); whole.stood[key] {
		at := e.root.get(standardKey).at
		e.leaveOut(key, at)
		if list == nil {
			list = &node{at: at, list: []*node{}}
			e.root.table[kind] = list
		}
		if e.root.follow([]string{kind, name}) == nil {
			list.list = append(list.list, whole.root.follow([]string{kind, name}).clone())
			return
		}
	}
	if list == nil {
		return
	}
	if list.isTable() { // a section
		e.root.table[kind] = whole.root.get(kind).clone()
		return
	}
	for i, entry := range list.list {
		written, _ := entry.get("name").text()
		names, counts := whole.members[Join(kind, written)]
		if !counts {
			names = []string{written}
		}
		if written != name && !slices.Contains(names, name) {
			continue
		}
		var out []*node
		for _, name := range names {
			if n := whole.root.follow([]string{kind, name}); n != nil {
				out = append(out, n.clone())
			}
		}
		list.list = slices.Replace(list.list, i, i+1, out...)
		return
	}
}

// leaveOut lists an entry among those that the job does not take from its sets.
func (e *editor) leaveOut(key string, at source.Place) {
	leaves := e.root.get(withoutKey)
	if leaves == nil || !leaves.isList() {
		leaves = &node{at: at, list: []*node{}}
		e.root.table[withoutKey] = leaves
	}
	for _, element := range leaves.list {
		if text, _ := element.text(); text == key {
			return
		}
	}
	leaves.list = append(leaves.list, plant(key, at))
}

// makes reports whether a pattern other than like makes the value of a key, or
// whether the key counts into a list that came by like.
func (e *expansion) makes(parts []string) bool {
	key, n := "", e.root
	for i, part := range parts {
		if key = Join(key, part); e.made[key] {
			return true
		}
		if n.isList() && i >= 2 {
			return true
		}
		n, _ = n.child(part)
	}
	for owner, members := range e.members {
		if slices.Contains(members, parts[1]) && strings.HasPrefix(owner, parts[0]+".") {
			return true
		}
	}
	return false
}

// follow steps along a key; nil where there is nothing.
func (n *node) follow(parts []string) *node {
	for _, part := range parts {
		if n == nil {
			return nil
		}
		n, _ = n.child(part)
	}
	return n
}

// parts parts a key; one that cannot be read is a fault.
func (e *editor) parts(key string) ([]string, bool) {
	parts, ok := SplitKey(key)
	if !ok {
		e.faults = append(e.faults, source.Fault{Path: key, Message: fmt.Sprintf("edit of %q: the key cannot be read", key)})
	}
	return parts, ok
}

// double adds a copy of a named entry to its list, under another name.
func (e *editor) double(key, name string) {
	parts, ok := e.parts(key)
	if !ok {
		return
	}
	var owner *node
	entry := e.root
	for _, part := range parts {
		next, near := entry.child(part)
		if next == nil {
			e.missing(key, part, near)
			return
		}
		owner, entry = entry, next
	}
	if owner == nil || !owner.isList() || entry.get("name") == nil {
		e.faults = append(e.faults, source.Fault{At: entry.span(), Path: key, Message: fmt.Sprintf("edit of %q: it is not an entry with a name", key)})
		return
	}
	copied := entry.clone()
	copied.table["name"] = plant(name, entry.get("name").at)
	owner.list = append(owner.list, copied)
}

// join adds entries to the list of tables at a key, which is made where the job
// has none.
func (e *editor) join(key string, entries []map[string]any) {
	parts, ok := e.parts(key)
	if !ok {
		return
	}
	owner := e.root
	for _, part := range parts[:len(parts)-1] {
		next, near := owner.child(part)
		if next == nil {
			e.missing(key, part, near)
			return
		}
		owner = next
	}
	last := parts[len(parts)-1]
	list, _ := owner.child(last)
	if list == nil && owner.isTable() {
		list = &node{at: source.Place{Value: owner.span()}, list: []*node{}}
		owner.table[last] = list
	}
	if list == nil || !list.isList() {
		e.faults = append(e.faults, source.Fault{At: owner.span(), Path: key, Message: fmt.Sprintf("edit of %q: it is no list of entries", key)})
		return
	}
	for _, entry := range entries {
		list.list = append(list.list, plant(entry, list.at))
	}
}

// apply sets the value at a key, or unsets it when the value is nil.
func (e *editor) apply(key string, value any) {
	parts, ok := e.parts(key)
	if !ok {
		return
	}
	owner := e.root
	for i, part := range parts[:len(parts)-1] {
		next, near := owner.child(part)
		if next == nil && owner.isTable() && value != nil {
			next = &node{at: owner.at, table: map[string]*node{}}
			owner.table[part] = next
		}
		if next == nil {
			e.missing(key, parts[i], near)
			return
		}
		owner = next
	}
	last := parts[len(parts)-1]
	old, near := owner.child(last)
	switch {
	case owner.isList() && old != nil:
		e.element(owner, old, value)
	case owner.isTable() && value != nil:
		owner.table[last] = plant(value, placeOf(old, owner))
	case owner.isTable() && old != nil:
		delete(owner.table, last)
	default:
		e.missing(key, last, near)
	}
}

// element replaces or takes out one of a list.
func (e *editor) element(list, old *node, value any) {
	i := slices.Index(list.list, old)
	if value == nil {
		list.list = slices.Delete(list.list, i, i+1)
		return
	}
	list.list[i] = plant(value, placeOf(old, list))
}

func (e *editor) missing(key, part, near string) {
	e.faults = append(e.faults, source.Fault{Path: key, Message: fmt.Sprintf("edit of %q: the job has no %q there", key, part), Nearest: near})
}

// placeOf is where a value set by an edit is said to stand: where the old one
// stood, or where its owner stands.
func placeOf(old, owner *node) source.Place {
	if old != nil {
		return old.at
	}
	return source.Place{Value: owner.span()}
}

// child steps from a node to the key, the named element or the numbered
// element that part says; without one it gives the word that was probably
// meant.
func (n *node) child(part string) (found *node, near string) {
	if n.isTable() {
		if c := n.table[part]; c != nil {
			return c, ""
		}
		near, _ = quantity.Nearest(part, n.keys())
		return nil, near
	}
	var names []string
	for _, element := range n.list {
		name, named := element.get("name").text()
		if named && name == part {
			return element, ""
		}
		names = append(names, name)
	}
	if i, err := strconv.Atoi(part); err == nil && i >= 1 && i <= len(n.list) {
		return n.list[i-1], ""
	}
	near, _ = quantity.Nearest(part, names)
	return nil, near
}
