package job

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"

	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// Job reads the tree as the typed model. The error is source.Faults with
// every fault of the job.
func (t *Tree) Job() (*Job, error) {
	job := &Job{shelf: t.shelf, stated: &values{}}
	if len(t.root.table) == 0 {
		return nil, source.Faults{{At: t.files[0].Start(), Message: "the job is empty", Expected: "a job begins with [project] and its name"}}
	}
	if faults := tooLong(t.root, ""); len(faults) > 0 {
		return nil, faults.Err()
	}
	whole := t.expand()
	job.Likes = whole.likes()
	b := &binder{job: job, open: t.open, names: map[string][]string{}, shelf: t.shelf}
	job.Files = whole.files
	job.Sections = map[string]source.Span{}
	for key, n := range whole.root.table {
		job.Sections[key] = n.span()
	}
	b.table(Model(), whole.root, reflect.ValueOf(job).Elem(), "", t.files[0].Start())
	b.standIns(Model(), reflect.ValueOf(job).Elem(), "")
	whole.leaveOpen(job)
	b.references()
	b.readFiles()
	b.size()
	b.checks()
	if len(whole.faults) == 0 { // else it would miss what the patterns were to give
		b.schema(whole.root)
	}
	b.faults = append(whole.byLike(append(b.faults, whole.faults...)), t.faults...)
	if err := b.faults.Err(); err != nil {
		return nil, err
	}
	if b.written[quantity.SI] > b.written[quantity.US] {
		job.units = quantity.SI
	}
	job.index()
	return job, nil
}

// index notes which entry of each list has which name, since a review of
// thousands of circuits asks for as many.
func (j *Job) index() {
	j.named = map[string]map[string]int{}
	for _, f := range Model().Fields {
		if f.Kind != KindTables || !f.Table.Named() {
			continue
		}
		entries, list := map[string]int{}, f.Of(reflect.ValueOf(j).Elem())
		for i := range list.Len() {
			entries[list.Index(i).FieldByName("Name").Interface().(Text).Value] = i
		}
		j.named[f.Key] = entries
	}
}

// PartFaults gives the faults of a file that is no job but a part of jobs, such
// as a list of equipment: those that do not hang on what stands in other files.
func (t *Tree) PartFaults() source.Faults {
	if faults := tooLong(t.root, ""); len(faults) > 0 {
		return faults.Sorted()
	}
	whole := t.expand() // whose faults may be of what another file has
	b := &binder{job: &Job{}, open: t.open, names: map[string][]string{}}
	b.table(Model(), whole.root, reflect.ValueOf(b.job).Elem(), "", t.files[0].Start())
	faults := append(whole.byLike(b.faults), t.faults...)
	return slices.DeleteFunc(faults.Sorted(), func(f source.Fault) bool {
		return f.Path == "project.name" && t.root.get("project") == nil
	})
}

// binder fills the model from a tree and gathers faults.
type binder struct {
	job     *Job
	open    Open
	faults  source.Faults
	names   map[string][]string // names by the kind of thing that carries them
	refs    []reference
	written [2]int // values written in each system of units
	shelf   *shelf // of the tree

	searches int    // for nearest words
	whole    string // what the file is called, where it is no job
}

// reference is a name that must be the name of something of a kind.
type reference struct {
	kinds     []string // of which one has the name
	name, key string
	at        source.Span
}

func (b *binder) fault(f source.Fault) { b.faults = append(b.faults, f) }

// table fills a struct from a table. The table may be absent (nil): then all
// its values are unknown and said to stand at header.
func (b *binder) table(t *Table, n *node, owner reflect.Value, key string, header source.Span) {
	if n != nil {
		b.unknownKeys(t, n, key)
	}
	setPlace(owner, header)
	for _, f := range t.Fields {
		child := n.get(f.Key)
		if child == nil && f.Required && !(n != nil && n.open) {
			b.fault(source.Fault{At: header, Path: Join(key, f.Key), Message: Join(key, f.Key) + " is missing", Expected: "it is required: " + f.Doc})
		}
		b.field(f, child, f.Of(owner), Join(key, f.Key), header)
	}
}

// setPlace notes where the table of a thing stands: in the At of its Entity,
// or in its own.
func setPlace(owner reflect.Value, header source.Span) {
	if entity := owner.FieldByName("Entity"); entity.IsValid() {
		owner = entity
	}
	if at := owner.FieldByName("At"); at.IsValid() && at.Type() == reflect.TypeFor[source.Span]() {
		at.Set(reflect.ValueOf(header))
	}
}

// Bounds on the search for nearest words, so that a hostile file cannot make
// it long. Later faults go without.
const (
	mostNearest = 200  // searches in one job
	mostWords   = 2000 // words in one search
)

// nearest is the word that was probably meant, or "".
func (b *binder) nearest(text string, words []string) string {
	if b.searches++; b.searches > mostNearest || len(words) > mostWords {
		return ""
	}
	near, _ := quantity.Nearest(text, words)
	return near
}

func (b *binder) unknownKeys(t *Table, n *node, key string) {
	for _, k := range n.keys() {
		if _, known := t.Field(k); known {
			continue
		}
		near := b.nearest(k, t.written())
		where := "at the top of " + cmp.Or(b.whole, "the job")
		if key != "" {
			where = "in " + key
		}
		expected := ""
		if near == "" {
			expected = "the keys are " + strings.Join(t.written(), ", ")
		}
		b.fault(source.Fault{At: n.table[k].keySpan(), Path: Join(key, k), Message: fmt.Sprintf("unknown key %q %s", shorten(k), where), Expected: expected, Nearest: near})
	}
}

func (b *binder) field(f *Field, n *node, target reflect.Value, key string, header source.Span) {
	switch f.Kind {
	case KindTable:
		b.oneTable(f, n, target, key, header)
	case KindTables:
		b.manyTables(f, n, target, key)
	default:
		b.given(f, n, target, key, header)
	}
}

func (b *binder) oneTable(f *Field, n *node, target reflect.Value, key string, header source.Span) {
	switch {
	case n == nil:
	case n.isTable():
		header = n.span()
	case n.holdsTables():
		b.fault(source.Fault{At: n.span(), Path: key, Message: key + ": found a repeated table", Expected: fmt.Sprintf("one table is expected, written [%s]", f.Key)})
		n = nil
	default:
		b.wrongType(n, key, fmt.Sprintf("a table is expected, written [%s]", f.Key))
		n = nil
	}
	b.table(f.Table, n, target, key, header)
}

func (b *binder) manyTables(f *Field, n *node, target reflect.Value, key string) {
	switch {
	case n == nil:
		return
	case !n.holdsTables():
		b.wrongType(n, key, fmt.Sprintf("a repeated table is expected, written [[%s]]", f.Key))
		return
	}
	list := reflect.MakeSlice(target.Type(), len(n.list), len(n.list))
	target.Set(list)
	first := map[string]source.Span{}
	for i, element := range n.list {
		name, named := element.get("name").text()
		if f.Table.Named() && named {
			b.name(f.Key, name, Join(Join(key, strconv.Itoa(i+1)), "name"), element.get("name").span(), first)
		}
		b.table(f.Table, element, list.Index(i), elementKey(f, key, i, name), element.span())
	}
}

// name notes the name of a thing and refuses a second thing of that name. key
// counts the thing, for its name does not tell it from others here.
func (b *binder) name(kind, name, key string, at source.Span, first map[string]source.Span) {
	other, taken := first[name]
	switch {
	case strings.TrimSpace(name) == "":
		b.fault(source.Fault{At: at, Path: key, Message: fmt.Sprintf("a name of %s is blank", article(kind)), Expected: "a name is expected"})
	case taken:
		b.fault(source.Fault{At: at, Path: key, Message: fmt.Sprintf("two things of kind %s are named %q", kind, shorten(name)),
			Also: []source.Further{{At: other, Note: "the first of that name"}}})
	default:
		first[name] = at
		b.names[kind] = append(b.names[kind], name)
	}
}

// text gives the value of a node that is a text.
func (n *node) text() (string, bool) {
	if n == nil {
		return "", false
	}
	s, ok := n.value.(string)
	return s, ok
}

// given fills one Given. The model holds few types, so a plain switch shows
// all of them.
func (b *binder) given(f *Field, n *node, target reflect.Value, key string, header source.Span) {
	v := valueReader{b, f, key}
	switch g := target.Addr().Interface().(type) {
	case *Quantity:
		fill(g, v, n, header, v.quantity)
	case *Number:
		fill(g, v, n, header, v.number)
	case *Count:
		fill(g, v, n, header, v.count)
	case *Flag:
		fill(g, v, n, header, v.flag)
	case *Text:
		fill(g, v, n, header, v.word)
	case *Size:
		fill(g, v, n, header, v.size)
	case *PointAt:
		fill(g, v, n, header, v.point)
	case *Texts:
		fill(g, v, n, header, list(v, v.word, "texts"))
	case *Counts:
		fill(g, v, n, header, list(v, v.count, "whole numbers"))
	case *Points:
		fill(g, v, n, header, list(v, v.point, "[x, y] pairs of lengths"))
	case *Cells:
		fill(g, v, n, header, list(v, v.cell, "[row, column] pairs"))
	case *Lengths:
		fill(g, v, n, header, list(v, v.magnitude, "values"))
	}
}

// fill sets a Given from a node, which is nil where the job leaves it out: then
// a default of the model stands. A value that cannot be read stays unknown;
// its fault is noted.
func fill[T any](g *Given[T], v valueReader, n *node, header source.Span, read func(*node) (T, bool)) {
	g.Key, g.At = v.key, header
	if n == nil {
		g.Value, g.Default = v.f.fallback.(T)
		return
	}
	g.At = n.span()
	if value, ok := read(n); ok {
		g.Value, g.Known = value, true
	}
}

// list makes a reader of a list from the reader of its elements.
func list[T any](v valueReader, read func(*node) (T, bool), of string) func(*node) ([]T, bool) {
	return func(n *node) ([]T, bool) {
		if !n.isList() {
			return nil, v.wrongType(n, "a list of "+of+" is expected")
		}
		values, whole := make([]T, 0, len(n.list)), true
		for _, element := range n.list {
			value, ok := read(element)
			values, whole = append(values, value), whole && ok
		}
		return values, whole
	}
}

// valueReader reads the values of one field.
type valueReader struct {
	*binder
	f   *Field
	key string
}

// fault notes a fault of the field.
func (v valueReader) fault(f source.Fault) {
	f.Path = v.key
	v.binder.fault(f)
}

// wrongType notes a value of the wrong type and reports false.
func (v valueReader) wrongType(n *node, expected string) bool {
	v.binder.wrongType(n, v.key, expected)
	return false
}

func (b *binder) wrongType(n *node, key, expected string) {
	b.fault(source.Fault{At: n.span(), Path: key, Message: key + ": found " + found(n), Expected: expected})
}

func (v valueReader) quantity(n *node) (quantity.Value, bool) {
	var text string
	switch value := n.value.(type) {
	case string:
		text = value
	case int64, float64:
		text = number(value)
		if v.f.Dim != quantity.Ratio {
			return quantity.Value{}, v.unitMissing(n, text)
		}
	default:
		return quantity.Value{}, v.wrongType(n, fmt.Sprintf("%s in quotes is expected, such as %q", article(v.f.Dim.String()), v.f.Dim.Example()))
	}
	q, err := quantity.Parse(text, v.f.Dim)
	if err != nil && v.f.Rated != "" {
		if absolute, wrong := quantity.Parse(text, quantity.VoltagePerTemperature); wrong == nil {
			return absolute, true // made relative once the whole table is read
		}
	}
	if err != nil {
		return q, v.unreadable(n, err)
	}
	// Codes and terminals state temperatures in degC whatever the drawings use.
	if system, told := q.System(); told && q.Dim != quantity.Temperature && q.Dim != quantity.TemperatureDifference {
		v.written[system]++
	}
	return q, v.inRange(n, q.SI, text)
}

// unitMissing notes a bare number where a unit is needed and shows how it
// would be written.
func (v valueReader) unitMissing(n *node, text string) bool {
	_, unit, _ := strings.Cut(v.f.Dim.Example(), " ")
	v.fault(source.Fault{At: n.span(), Message: fmt.Sprintf("%s: the number %s has no unit", v.key, text),
		Expected: fmt.Sprintf("%s in quotes with its unit is expected, such as %q", article(v.f.Dim.String()), text+" "+unit)})
	return false
}

// unreadable notes what package quantity says of a text.
func (v valueReader) unreadable(n *node, err error) bool {
	fault := source.Fault{At: n.span(), Message: v.key + ": " + err.Error()}
	var told *quantity.Error
	if errors.As(err, &told) {
		fault.Message = fmt.Sprintf("%s: %q: %s", v.key, told.Text, told.Problem)
		fault.Expected, fault.Nearest = told.Expected, told.Nearest
	}
	v.fault(fault)
	return false
}

func (v valueReader) magnitude(n *node) (float64, bool) {
	q, ok := v.quantity(n)
	return q.SI, ok
}

func (v valueReader) number(n *node) (float64, bool) {
	var x float64
	switch value := n.value.(type) {
	case int64:
		x = float64(value)
	case float64:
		x = value
	default:
		return 0, v.wrongType(n, "a number without quotes is expected")
	}
	return x, v.inRange(n, x, number(n.value))
}

// largestCount bounds counts so that sums and products of them stay small.
const largestCount = 1_000_000

func (v valueReader) count(n *node) (int, bool) {
	value, ok := n.value.(int64)
	if !ok {
		return 0, v.wrongType(n, "a whole number is expected")
	}
	if value > largestCount {
		v.outOfRange(n, number(value), fmt.Sprintf("at most %d is expected", largestCount))
		return 0, false
	}
	return int(value), v.inRange(n, float64(value), number(value))
}

func (v valueReader) flag(n *node) (bool, bool) {
	value, ok := n.value.(bool)
	if !ok {
		return false, v.wrongType(n, "true or false without quotes is expected")
	}
	return value, true
}

func (v valueReader) word(n *node) (string, bool) {
	text, ok := n.value.(string)
	if _, date := n.value.(time.Time); date && len(v.f.Choice) == 0 {
		text, ok = n.at.Value.Text(), true
	}
	switch {
	case !ok && n.value != nil:
		return "", v.wrongType(n, fmt.Sprintf("a text in quotes is expected, such as %q", cmp.Or(v.nearest(number(n.value), v.f.Choice), number(n.value))))
	case !ok:
		return "", v.wrongType(n, "a text in quotes is expected")
	case len(v.f.Choice) > 0 && !slices.Contains(v.f.Choice, text):
		near := v.nearest(text, v.f.Choice)
		v.fault(source.Fault{At: n.span(), Message: fmt.Sprintf("%s: %q is not a choice", v.key, shorten(text)), Expected: oneOf(v.f.Choice), Nearest: near})
		return "", false
	case v.f.Ref != "":
		v.refs = append(v.refs, reference{[]string{v.f.Ref}, text, v.key, n.span()})
	case len(v.f.AnyOf) > 0:
		v.refs = append(v.refs, reference{v.f.AnyOf, text, v.key, n.span()})
	}
	return text, true
}

func (v valueReader) size(n *node) (quantity.Size, bool) {
	text, ok := n.value.(string)
	if !ok {
		return 0, v.wrongType(n, `a conductor size in quotes is expected, such as "10 AWG"`)
	}
	size, err := quantity.ParseSize(text)
	if err != nil {
		return 0, v.unreadable(n, err)
	}
	return size, true
}

// farthest bounds positions, in metres.
const farthest = 10_000

func (v valueReader) point(n *node) (Point, bool) {
	if !n.isList() || len(n.list) != 2 {
		return Point{}, v.wrongType(n, `a pair of lengths is expected, such as ["12 ft", "3 ft"]`)
	}
	x, okX := v.magnitude(n.list[0])
	y, okY := v.magnitude(n.list[1])
	for i, at := range []float64{x, y} {
		if math.Abs(at) > farthest {
			v.outOfRange(n.list[i], found(n.list[i]), fmt.Sprintf("at most %d m are expected", farthest))
			return Point{}, false
		}
	}
	return Point{x, y}, okX && okY
}

func (v valueReader) cell(n *node) (Cell, bool) {
	if !n.isList() || len(n.list) != 2 {
		return Cell{}, v.wrongType(n, "a pair of whole numbers is expected, such as [1, 4]")
	}
	row, okRow := v.count(n.list[0])
	column, okColumn := v.count(n.list[1])
	return Cell{row, column}, okRow && okColumn
}

// inRange holds a value against the bounds of its field. Not a number is in
// no range.
func (v valueReader) inRange(n *node, x float64, text string) bool {
	f := v.f
	positive := !f.Positive || x > 0
	negative := !f.Negative || x < 0
	least := f.Min == nil || quantity.AtLeast(x, *f.Min)
	most := f.Max == nil || quantity.AtMost(x, *f.Max)
	if positive && negative && least && most && !math.IsNaN(x) && !math.IsInf(x, 0) {
		return true
	}
	v.outOfRange(n, text, f.rangeText())
	return false
}

func (v valueReader) outOfRange(n *node, text, expected string) {
	v.fault(source.Fault{At: n.span(), Message: fmt.Sprintf("%s: %s is out of range", v.key, shorten(text)), Expected: expected})
}

// rangeText says which values the field takes.
func (f *Field) rangeText() string {
	what := "a number"
	switch f.Kind {
	case KindQuantity, KindQuantities:
		what = article(f.Dim.String())
	case KindCount, KindCounts, KindCells:
		what = "a whole number"
	}
	bound := func(x float64) string {
		text := strconv.FormatFloat(x, 'g', -1, 64)
		if unit := f.Dim.BaseUnit(); unit != "" && x != 0 {
			text += " " + unit
		}
		return text
	}
	switch {
	case f.Positive:
		what += " above zero"
	case f.Negative:
		what += " below zero"
	}
	switch {
	case f.Min != nil && f.Max != nil:
		what += " from " + bound(*f.Min) + " to " + bound(*f.Max)
	case f.Min != nil:
		what += " of at least " + bound(*f.Min)
	case f.Max != nil:
		what += " of at most " + bound(*f.Max)
	}
	return what + " is expected"
}

// sectionService is the one section that a reference names by its own word.
const sectionService = "service"

// references holds every reference against the names of its kind.
func (b *binder) references() {
	known := map[string]map[string]bool{}
	for kind, names := range b.names {
		known[kind] = map[string]bool{}
		for _, name := range names {
			known[kind][name] = true
		}
	}
	known[sectionService] = map[string]bool{sectionService: true}
	for _, r := range b.refs {
		if slices.ContainsFunc(r.kinds, func(kind string) bool { return known[kind][r.name] }) {
			continue
		}
		var names []string
		for _, kind := range r.kinds {
			names = append(names, b.shelf.known(kind, b.names[kind])...)
			if kind == sectionService {
				names = append(names, kind)
			}
		}
		what := strings.Join(r.kinds, " or ")
		near, expected := b.nearest(r.name, names), ""
		switch {
		case len(names) == 0:
			expected = fmt.Sprintf("the job has no %s", what)
		case len(names) > 1 || near == "":
			expected = oneOf(names)
		}
		b.fault(source.Fault{At: r.at, Path: r.key, Message: fmt.Sprintf("%s: no %s is named %q", r.key, what, shorten(r.name)), Expected: expected, Nearest: near})
	}
}

// number prints a scalar as TOML has it.
func number(value any) string {
	if f, ok := value.(float64); ok {
		return strconv.FormatFloat(f, 'g', -1, 64)
	}
	return fmt.Sprint(value)
}

// found names what stands in a node, for a fault.
func found(n *node) string {
	switch {
	case n.isTable():
		return "a table"
	case n.isList():
		return "a list"
	}
	switch v := n.value.(type) {
	case string:
		return fmt.Sprintf("the text %q", shorten(v))
	case bool:
		return fmt.Sprint(v)
	case time.Time:
		return "a date"
	}
	return "the number " + number(n.value)
}

// oneOf lists the words that are allowed; a long list ends with how many are
// left out.
func oneOf(words []string) string {
	const most = 12
	quoted := make([]string, 0, most)
	for _, w := range words[:min(len(words), most)] {
		quoted = append(quoted, strconv.Quote(w))
	}
	if more := len(words) - most; more > 0 {
		quoted = append(quoted, fmt.Sprintf("%d more", more))
	}
	if len(quoted) == 1 {
		return quoted[0] + " is expected"
	}
	return "one of " + strings.Join(quoted, ", ") + " is expected"
}

func article(word string) string {
	if strings.ContainsRune("aeiou", rune(word[0])) {
		return "an " + word
	}
	return "a " + word
}

// shorten keeps a message readable whatever was written.
func shorten(text string) string {
	const most = 60
	if runes := []rune(text); len(runes) > most {
		return string(runes[:most]) + "..."
	}
	return text
}
