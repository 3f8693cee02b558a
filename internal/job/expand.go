package job

import (
	"fmt"
	"reflect"
	"slices"
	"strings"

	"plumbrule/internal/bound"
	"plumbrule/internal/source"
)

// Patterns are keys that stand for others. A job that uses them says the same
// as one that writes everything out, and is made into that one before it is
// read: nothing behind this file knows of them. What the job takes of a folder
// of equipment (see equipment.go) is put in first.
//
//   - standard = ["NAME"] at the top puts in the labels and papers of standard
//     sets, which entries of the job add to (standard.go).
//   - like = "NAME" on an entry of a list with names takes from the named entry
//     of the same list, or of the folder of equipment, every value that the entry does not state itself. Tables
//     are taken key by key, lists whole, the name never. In a list of others of
//     the kind the two change places: A shares with B, so B shares with A.
//   - wires, size, working_space and their kin say in one text what several keys
//     say (together.go).
//   - count = 3 on a string makes three of it, named "NAME 1" to "NAME 3".
//   - across, below_ridge and their kin place an array by setbacks.
//   - every, on and staggered stand feet on each n-th rib or member.
//
// Where a pattern needs what the job leaves out, what it was to make is left
// open, and a check that reads it asks for what is missing. What contradicts
// itself, or what a pattern cannot do, is refused.
//
// They are expanded in that order, so that what is like a pattern is a pattern
// too. A value that came by like keeps the place where its giver states it; a
// fault there names the heirs as further places.
//
// Edits apply to the tree as it is written. One that reaches into what a
// pattern makes, or takes away what an entry is like, has that entry written out
// first (see editor.writeOut).

// likeKey names the entry that another one is like.
const likeKey = "like"

// entryPattern are the patterns of every entry of a list with names.
type entryPattern struct {
	Like    Text  `key:"like" doc:"name of an entry of the same list or of the folder of equipment, from which it takes every value that it does not state itself"`
	Without Texts `key:"without" doc:"keys that it does not take by like, or from a standard set, such as \"attachments.spacing\""`
}

// withoutKey names what an entry, or at the top a job, does not take.
const withoutKey = "without"

// stringPattern are the patterns of a string.
type stringPattern struct {
	Count    Count `key:"count" min:"1" max:"200" doc:"how many alike: they are named by number, \"S 1\" and on, their inputs are counted on from input, and a list of strings that has this name has all of them"`
	PerInput Count `key:"per_input" min:"1" max:"200" default:"1" doc:"with count: how many of them share an input"`
	Over     Texts `key:"over" ref:"array" doc:"with count: arrays whose modules they take one string after the other, in this order, instead of array and other_arrays"`
}

// arrayPattern are the patterns of an array.
type arrayPattern struct {
	Across       Text     `key:"across" choice:"centred|from_left|from_right" doc:"where the array stands across its plane, instead of origin: between the setbacks, or at one of them"`
	SetbackLeft  Quantity `key:"setback_left" dim:"length" doc:"with across: least distance of the array from the left end of the plane along its height, seen looking up the slope"`
	SetbackRight Quantity `key:"setback_right" dim:"length" doc:"with across: least distance of the array from the right end of the plane along its height"`
	BelowRidge   Quantity `key:"below_ridge" dim:"length" doc:"with across: distance of the array's upper edge from the level upper edge of the plane, on the surface"`
	Gap          Text     `key:"gap" doc:"gap_x and gap_y in one text: \"1/2 in\" both ways, \"1/2 x 4 in\" between columns and between rows"`
	AboveEave    Quantity `key:"above_eave" dim:"length" doc:"with across: distance of the array's lower edge from the lowest edge of the plane, on the surface"`
}

// feetPattern are the patterns of an array's feet.
type feetPattern struct {
	Every     Count `key:"every" min:"1" max:"100" doc:"feet on each n-th rib or member across the row, instead of spacing and first_offset; from the first within the array that keeps both ends within the mounting's overhang"`
	On        Text  `key:"on" choice:"ribs|members" doc:"with every: what the feet stand on"`
	Staggered Flag  `key:"staggered" default:"false" doc:"with every: whether each second line stands half of n ribs or members along, rounded down to whole ones"`
}

// patternsOf gives the patterns of a type of the model.
var patternsOf = map[reflect.Type]reflect.Type{
	reflect.TypeFor[Job]():         reflect.TypeFor[standardPattern](),
	reflect.TypeFor[String]():      reflect.TypeFor[stringPattern](),
	reflect.TypeFor[Array]():       reflect.TypeFor[arrayPattern](),
	reflect.TypeFor[Attachments](): reflect.TypeFor[feetPattern](),

	reflect.TypeFor[ModuleType]():   reflect.TypeFor[modulePattern](),
	reflect.TypeFor[InverterType](): reflect.TypeFor[inverterTypePattern](),
	reflect.TypeFor[MountingType](): reflect.TypeFor[mountingPattern](),
	reflect.TypeFor[Framing]():      reflect.TypeFor[framingPattern](),
	reflect.TypeFor[Inverter]():     reflect.TypeFor[workingPattern](),
	reflect.TypeFor[Panel]():        reflect.TypeFor[workingPattern](),
	reflect.TypeFor[Circuit]():      reflect.TypeFor[circuitPattern](),

	reflect.TypeFor[Service]():         reflect.TypeFor[servicePattern](),
	reflect.TypeFor[Interconnection](): reflect.TypeFor[interconnectionPattern](),
	reflect.TypeFor[Grounding]():       reflect.TypeFor[groundingPattern](),
}

// ways lists, by the key of a table, keys that say the same in several ways. An
// entry that states one way takes no other way by like.
var ways = map[string][][][]string{
	"array": {
		{{"origin"}, {"across", "setback_left", "setback_right", "below_ridge", "above_eave"}},
		{{"below_ridge"}, {"above_eave"}},
	},
	"attachments": {
		{{"file"}, {"spacing", "first_offset", "stagger"}, {"every", "on", "staggered"}},
		{{"file"}, {"lines", "per_line"}},
	},
	"string":      {{{"array", "other_arrays"}, {"over"}}},
	"framing":     {{{"positions"}, {"spacing", "offset"}}},
	"obstruction": {{{"outline"}, {"diameter"}, {"width", "height"}}, {{"outline"}, {"at", "turn"}}},
}

// expansion is a tree with its patterns written out.
type expansion struct {
	root    *node
	faults  source.Faults
	heirs   map[string]source.Further // by the key of a value that came by like: the entry that took it
	made    map[string]bool           // keys of values that a pattern other than like made
	lacks   map[string]lack           // by the key of a value that a pattern was to make: what it needs and the job leaves out
	members map[string][]string       // by the key of a string with count: the names of what it made
	stood   map[string]bool           // keys of entries that standard sets give
	leaves  map[*node][]*left         // by the entry: what it does not take
	shelf   *shelf                    // of the tree
	moved   map[string]bool           // of the tree
	lent    map[string]*node          // entries of the shelf that are used, by key
	files   []*source.File            // those of the tree, and of the entries that are used

	values   int    // that patterns made so far
	searches binder // for nearest words
}

// make counts the values that a pattern is about to make; false, with one fault,
// where they are too many.
func (e *expansion) make(at source.Span, key string, values int) bool {
	before := e.values
	e.values += values
	if e.values > bound.Made && before <= bound.Made {
		e.fault(at, key, "", "patterns stand for more than %d values", bound.Made)
	}
	return e.values <= bound.Made
}

// expand writes out the patterns of a tree, which is left as it is.
func (t *Tree) expand() *expansion {
	e := &expansion{root: t.root, heirs: map[string]source.Further{}, made: map[string]bool{}, lacks: map[string]lack{}, members: map[string][]string{},
		stood: map[string]bool{}, leaves: map[*node][]*left{},
		shelf: t.shelf, moved: t.moved, lent: map[string]*node{}, files: slices.Clone(t.files)}
	if t.shelf == nil && !hasPatterns(Model(), t.root) {
		return e
	}
	e.root = t.root.clone()
	lists := func(each func(f *Field, list *node)) {
		for _, f := range Model().Fields {
			if list := e.root.get(f.Key); f.inherits() && list != nil && list.holdsTables() {
				each(f, list)
			}
		}
	}
	e.equip()
	takes := map[*node]bool{} // entries that are like others
	lists(func(f *Field, list *node) {
		e.leftOut(f, list)
		for _, entry := range list.list {
			takes[entry] = entry.get(likeKey) != nil
		}
	})
	e.standards()
	lists(e.like)
	lists(func(f *Field, list *node) { e.needless(f, list, takes) })
	e.trim()
	e.together(Model(), "", "", e.root)
	e.counts()
	e.rows()
	return e
}

// inherits reports whether entries of a list may be like one another.
func (f *Field) inherits() bool { return f.Kind == KindTables && f.Table.Named() }

// hasPatterns reports whether a table, or one below it, uses a pattern.
func hasPatterns(t *Table, n *node) bool {
	for _, f := range t.Patterns {
		if n.get(f.Key) != nil {
			return true
		}
	}
	for _, f := range t.Fields {
		child := n.get(f.Key)
		switch {
		case child == nil || f.Table == nil:
		case child.isTable():
			if hasPatterns(f.Table, child) {
				return true
			}
		case slices.ContainsFunc(child.list, func(element *node) bool { return hasPatterns(f.Table, element) }):
			return true
		}
	}
	return false
}

func (e *expansion) fault(at source.Span, key, expected, message string, a ...any) {
	e.faults = append(e.faults, source.Fault{At: at, Path: key, Expected: expected, Message: key + ": " + fmt.Sprintf(message, a...)})
}

// like fills the entries of a list from those that they are like.
func (e *expansion) like(f *Field, list *node) {
	l := lineage{expansion: e, f: f, named: map[string]*node{}, done: map[*node]bool{}}
	for _, entry := range list.list {
		if name, named := entry.get("name").text(); named && l.named[name] == nil {
			l.named[name] = entry
			l.names = append(l.names, name)
		}
	}
	for i, entry := range list.list {
		l.fill(entry, l.key(entry, i), nil)
	}
}

// lineage is who is like whom in one list.
type lineage struct {
	*expansion
	f     *Field
	named map[string]*node
	names []string
	done  map[*node]bool
}

func (l *lineage) key(entry *node, i int) string {
	name, _ := entry.get("name").text()
	return elementKey(l.f, l.f.Key, i, name)
}

// fill gives an entry what it takes by like; chain holds the entries whose
// giver is looked for.
func (l *lineage) fill(entry *node, key string, chain []*node) {
	like := entry.get(likeKey)
	if like == nil || l.done[entry] {
		return
	}
	if i := slices.Index(chain, entry); i >= 0 {
		l.circle(chain[i:])
		return
	}
	name, ok := like.text()
	giver := l.giver(entry, name)
	switch {
	case !ok:
		l.fault(like.span(), Join(key, likeKey), fmt.Sprintf("the name of %s is expected", article(l.f.Key)), "found %s", found(like))
	case giver == nil:
		own, _ := entry.get("name").text()
		l.unknown(like, Join(key, likeKey), name, own)
	default:
		l.fill(giver, Join(l.f.Key, name), append(chain, entry))
	}
	if l.done[entry] { // it is one of a circle
		return
	}
	l.done[entry] = true
	delete(entry.table, likeKey)
	if giver == nil {
		entry.open = true
		return
	}
	entry.open = giver.open
	own, _ := entry.get("name").text()
	taken := source.Further{At: like.span(), Note: fmt.Sprintf("%s %q takes it by like of %q", l.f.Key, shorten(own), shorten(name))}
	l.take(l.f.Key, key, entry, giver, taken, l.leaves[entry])
}

// giver is the entry that another is like: of the list, or else of the folder of
// equipment, which also has what an entry completes under its own name.
func (l *lineage) giver(entry *node, name string) *node {
	if giver := l.named[name]; giver != nil && giver != entry {
		return giver
	}
	if lent := l.lend(l.f.Key, name); lent != nil && lent != entry {
		l.leftOut(l.f, &node{list: []*node{lent}}) // it is in no list
		return lent
	}
	return l.named[name]
}

// take gives a table what another has and it does not, but for what it leaves.
func (l *lineage) take(kind, key string, heir, giver *node, taken source.Further, leaves []*left) {
	stated := heir.keys()
	for _, k := range giver.keys() {
		theirs, ours, here := giver.table[k], heir.table[k], Join(key, k)
		switch {
		case k == "name" && kind == l.f.Key:
		case leave(leaves, here) || leaveTogether(leaves, kind, key, k):
		case ours == nil && l.leavesPart(kind, key, k, leaves):
			l.takeParts(kind, key, k, heir, theirs, taken, leaves)
		case ours == nil:
			if !saidOtherwise(kind, k, stated) && !saidTogether(kind, k, stated) {
				if !l.make(taken.At, key, theirs.size()) {
					return
				}
				l.heirs[here] = taken
				if theirs.isTable() && len(leaves) > 0 {
					heir.table[k] = &node{at: theirs.at, open: theirs.open, table: map[string]*node{}}
					l.take(k, here, heir.table[k], theirs, taken, leaves)
					continue
				}
				heir.table[k] = l.mutual(kind, k, heir, giver)
			}
		case ours.isTable() && theirs.isTable():
			l.take(k, here, ours, theirs, taken, leaves)
		}
	}
}

// mutual gives what an heir takes of a key: the value of its giver, but that in a
// list of others of its kind, such as what a circuit shares its raceway with, the
// two change places.
func (l *lineage) mutual(kind, key string, heir, giver *node) *node {
	theirs := giver.table[key]
	f, known := l.f.Table.Field(key)
	if kind != l.f.Key || !known || f.Kind != KindTexts || f.Ref != kind || !theirs.isList() {
		return theirs.share()
	}
	own, _ := heir.get("name").text()
	taken := &node{at: theirs.at, list: slices.Clone(theirs.list)}
	for i, element := range taken.list {
		if name, ok := element.text(); ok && name == own {
			taken.list[i] = plant(giver.get("name").value, element.at)
		}
	}
	return taken
}

// saidOtherwise reports whether a table states in another way what a key says.
func saidOtherwise(kind, key string, stated []string) bool {
	for _, choice := range ways[kind] {
		for _, way := range choice {
			if !slices.Contains(way, key) {
				continue
			}
			for _, other := range choice {
				states := func(k string) bool { return slices.Contains(stated, k) && !slices.Contains(way, k) }
				if slices.ContainsFunc(other, states) {
					return true
				}
			}
		}
	}
	return false
}

// unknown refuses a giver that is not there.
func (l *lineage) unknown(like *node, key, name, own string) {
	names := slices.DeleteFunc(slices.Clone(l.shelf.known(l.f.Key, l.names)), func(n string) bool { return n == own })
	near := l.searches.nearest(name, names)
	fault := source.Fault{At: like.span(), Path: key, Message: fmt.Sprintf("%s: no %s is named %q", key, l.f.Key, shorten(name)), Nearest: near}
	switch {
	case len(names) == 0:
		fault.Expected = fmt.Sprintf("the job has no other %s", l.f.Key)
	case near == "" || len(names) > 1:
		fault.Expected = oneOf(names)
	}
	l.faults = append(l.faults, fault)
}

// circle refuses entries that are like one another in a ring, once.
func (l *lineage) circle(ring []*node) {
	names := make([]string, len(ring))
	fault := source.Fault{}
	for i, entry := range ring {
		name, _ := entry.get("name").text()
		names[i] = fmt.Sprintf("%q", shorten(name))
		like := entry.get(likeKey)
		if i == 0 {
			fault.At, fault.Path = like.span(), Join(l.key(entry, 0), likeKey)
		} else {
			fault.Also = append(fault.Also, source.Further{At: like.span(), Note: "and here"})
		}
		l.done[entry], entry.open = true, true
	}
	for _, entry := range ring {
		delete(entry.table, likeKey)
	}
	fault.Message = fmt.Sprintf("%s: like goes in a circle: %s", fault.Path, strings.Join(append(names, names[0]), ", like "))
	fault.Expected = "one of them must state its values itself"
	l.faults = append(l.faults, fault)
}

// takeOut reads the patterns of a table and takes them off it.
func (e *expansion) takeOut(t *Table, n *node, key string, into any) (stated bool) {
	patterns := &node{at: n.at, table: map[string]*node{}}
	fields := slices.DeleteFunc(slices.Clone(t.Patterns), func(f *Field) bool { return f.Key == likeKey || f.Key == withoutKey && n != e.root })
	for _, f := range fields {
		if child := n.get(f.Key); child != nil {
			patterns.table[f.Key] = child
			delete(n.table, f.Key)
		}
	}
	if len(patterns.table) == 0 {
		return false
	}
	b := &binder{}
	b.table(&Table{Fields: fields}, patterns, reflect.ValueOf(into).Elem(), key, n.span())
	e.faults = append(e.faults, b.faults...)
	return len(b.faults) == 0
}

// counts makes the strings that stand for several into those.
func (e *expansion) counts() {
	f, _ := Model().Field("string")
	list := e.root.get(f.Key)
	if list == nil || !list.holdsTables() {
		return
	}
	whole := make([]*node, 0, len(list.list))
	for i, entry := range list.list {
		name, named := entry.get("name").text()
		key := elementKey(f, f.Key, i, name)
		var p stringPattern
		if !e.takeOut(f.Table, entry, key, &p) || !named {
			whole = append(whole, entry)
			continue
		}
		if !p.Count.Known {
			e.fault(entry.span(), Join(key, "count"), "", "per_input and over need count")
			whole = append(whole, entry)
			continue
		}
		if !e.make(p.Count.At, p.Count.Key, p.Count.Value*entry.size()) {
			return
		}
		shares := e.spread(entry, key, &p)
		for k := range p.Count.Value {
			member := entry.share()
			own := fmt.Sprintf("%s %d", name, k+1)
			member.table["name"] = plant(own, entry.get("name").at)
			if input := entry.get("input"); input != nil {
				if first, ok := input.value.(int64); ok {
					member.table["input"] = plant(first+int64(k/p.PerInput.Value), input.at)
				}
			}
			if k < len(shares) {
				shares[k].put(member, placedAt(p.Over.At))
			}
			if l, lacks := e.lacks[Join(key, "array")]; lacks {
				e.lacks[Join(Join(f.Key, own), "array")] = l
			}
			if e.members[key] = append(e.members[key], own); k > 0 {
				for _, each := range member.keys() {
					e.heirs[Join(Join(f.Key, own), each)] = source.Further{}
				}
			}
			whole = append(whole, member)
		}
	}
	list.list = whole
	if len(e.members) > 0 {
		e.mentions(Model(), e.root)
	}
}

// share is what a string takes of arrays, in order.
type share []ArrayModules

// spread shares the modules of arrays out over the strings of a pattern; none
// where it does not say so or that cannot be known.
func (e *expansion) spread(entry *node, key string, p *stringPattern) []share {
	if !p.Over.Known {
		return nil
	}
	for _, k := range []string{"array", "other_arrays"} {
		if stated := entry.get(k); stated != nil {
			e.fault(stated.span(), Join(key, k), "one of the two is expected", "the strings take the modules of arrays over which they go, too")
			return nil
		}
	}
	f, _ := Model().Field("string")
	var s String
	quietly().table(f.Table, entry, reflect.ValueOf(&s).Elem(), key, entry.span())
	gives := []string{Join(key, "array")}
	if !e.needs(p.Over.At, gives, s.Modules) {
		return nil
	}
	stock, ok := e.stock(p.Over, gives)
	if !ok {
		return nil
	}
	total := 0
	for _, a := range stock {
		total += a.Modules
	}
	if wanted := p.Count.Value * s.Modules.Value; wanted > total {
		e.fault(p.Over.At, p.Over.Key, "", "%d strings of %d take %d modules, and the arrays have %d", p.Count.Value, s.Modules.Value, wanted, total)
		return nil
	}
	out := make([]share, p.Count.Value)
	for k := range out {
		for left := s.Modules.Value; left > 0; {
			take := min(left, stock[0].Modules)
			if take > 0 {
				out[k] = append(out[k], ArrayModules{Modules: take, Array: stock[0].Array})
			}
			left -= take
			if stock[0].Modules -= take; stock[0].Modules == 0 {
				stock = stock[1:]
			}
		}
	}
	return out
}

// stock counts the modules of arrays; false where one is not there, with a
// fault, or its modules are not known.
func (e *expansion) stock(over Texts, gives []string) (out share, ok bool) {
	f, _ := Model().Field("array")
	list := e.root.get(f.Key)
	if list == nil {
		list = &node{list: []*node{}}
	}
	var names []string
	for _, n := range list.list {
		name, _ := n.get("name").text()
		names = append(names, name)
	}
	for i, name := range over.Value {
		at := slices.Index(names, name)
		switch {
		case at < 0:
			e.faults = append(e.faults, source.Fault{At: over.At, Path: over.Key, Message: fmt.Sprintf("%s: no array is named %q", over.Key, shorten(name)), Nearest: e.searches.nearest(name, names)})
			return nil, false
		case slices.Contains(over.Value[:i], name):
			e.fault(over.At, over.Key, "each array is expected once", "%q is given twice", shorten(name))
			return nil, false
		}
		var a Array
		quietly().table(f.Table, list.list[at], reflect.ValueOf(&a).Elem(), Join(f.Key, name), list.list[at].span())
		if !e.needs(over.At, gives, a.Rows, a.Columns) {
			return nil, false
		}
		out = append(out, ArrayModules{Modules: a.Rows.Value*a.Columns.Value - len(a.omitted()), Array: name})
	}
	return out, true
}

// put writes a share into a string.
func (s share) put(n *node, at source.Place) {
	n.table["array"] = plant(s[0].Array, at)
	var others []any
	for _, more := range s[1:] {
		others = append(others, fmt.Sprintf("%d x %s", more.Modules, more.Array))
	}
	if len(others) > 0 {
		n.table["other_arrays"] = plant(others, at)
	}
}

// mentions puts the members of a string with count where a list names it.
func (e *expansion) mentions(t *Table, n *node) {
	for _, f := range t.Fields {
		child := n.get(f.Key)
		switch {
		case child == nil:
		case f.Kind == KindTable && child.isTable():
			e.mentions(f.Table, child)
		case f.Kind == KindTables:
			for _, element := range child.list {
				e.mentions(f.Table, element)
			}
		case f.Kind == KindTexts && f.Ref == "string" && child.isList():
			var names []*node
			for _, element := range child.list {
				name, _ := element.text()
				members := e.members[Join("string", name)]
				if !e.make(element.span(), Join("string", name), len(members)) {
					return
				}
				for _, member := range members {
					names = append(names, plant(member, element.at))
				}
				if len(members) == 0 {
					names = append(names, element)
				}
			}
			child.list = names
		}
	}
}

// byLike joins the faults of values that came by like to those of their givers:
// one fault for one place, the heirs as further places.
func (e *expansion) byLike(faults source.Faults) source.Faults {
	type place struct {
		file  *source.File
		start int
	}
	first := map[place]int{}
	var out, inherited source.Faults
	for _, f := range faults {
		if _, heir := e.heir(f.Path); heir {
			inherited = append(inherited, f)
			continue
		}
		first[place{f.At.File, f.At.Start}] = len(out)
		out = append(out, f)
	}
	for _, f := range inherited {
		i, known := first[place{f.At.File, f.At.Start}]
		if !known {
			i = len(out)
			first[place{f.At.File, f.At.Start}] = i
			out = append(out, f)
		}
		if by, _ := e.heir(f.Path); by.At.Known() && !slices.Contains(out[i].Also, by) {
			out[i].Also = append(out[i].Also, by)
		}
	}
	return out
}

// heir finds who took a value, or a table or list around it, by like.
func (e *expansion) heir(key string) (source.Further, bool) { return above(e.heirs, key) }

// Likes is where an entry says that it is like another, by the key of each
// value, table or list that it took from that one.
type Likes map[string]source.Span

// At is where the value of a key was taken by like; no place where it was not.
func (l Likes) At(key string) source.Span {
	at, _ := above(l, key)
	return at
}

func (e *expansion) likes() Likes {
	likes := Likes{}
	for key, by := range e.heirs {
		if by.At.Known() {
			likes[key] = by.At
		}
	}
	return likes
}

// above finds what is known of a key, or of the nearest key above it of which
// something is known.
func above[T any](known map[string]T, key string) (found T, ok bool) {
	if len(known) == 0 {
		return found, false
	}
	parts, _ := SplitKey(key)
	for path := ""; len(parts) > 0 && !ok; parts = parts[1:] {
		path = Join(path, parts[0])
		found, ok = known[path]
	}
	return found, ok
}
