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
	editor := editor{root: t.root.clone(), tree: t}
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
	return &Tree{root: editor.root, files: t.files, open: t.open, faults: t.faults}, nil
}

type editor struct {
	root   *node
	tree   *Tree
	whole  *expansion // the tree before the edits, its patterns written out; nil until it is asked for
	faults source.Faults
}

// writeOut puts an entry as its patterns make it in the place of the entry as it
// is written, where an edit of a key would miss what only the patterns make.
// A value that came by like is simply stated when it is set.
func (e *editor) writeOut(parts []string, set bool) {
	if len(parts) < 2 || e.root.follow(parts) != nil || !hasPatterns(Model(), e.tree.root) {
		return
	}
	if e.whole == nil {
		e.whole = e.tree.expand()
	}
	made, list := e.whole.root.follow(parts), e.root.get(parts[0])
	if made == nil || !list.isList() || set && !e.whole.makes(parts) {
		return
	}
	names := []string{parts[1]}
	entry, _ := list.child(parts[1])
	if entry == nil {
		for _, written := range list.list {
			name, _ := written.get("name").text()
			if members := e.whole.members[Join(parts[0], name)]; slices.Contains(members, parts[1]) {
				entry, names = written, members
			}
		}
	}
	i := slices.Index(list.list, entry)
	if i < 0 {
		return
	}
	var out []*node
	for _, name := range names {
		if n := e.whole.root.follow([]string{parts[0], name}); n != nil {
			out = append(out, n.clone())
		}
	}
	list.list = slices.Replace(list.list, i, i+1, out...)
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
	e.writeOut(parts, true)
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
	e.writeOut(parts, value != nil)
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
