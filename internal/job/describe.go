package job

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"

	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// Kind is the kind of value a key holds.
type Kind uint8

// The kinds, each after the type of the model that holds it.
const (
	KindQuantity   Kind = iota // Quantity
	KindNumber                 // Number
	KindCount                  // Count
	KindFlag                   // Flag
	KindText                   // Text
	KindTexts                  // Texts
	KindCounts                 // Counts
	KindSize                   // Size
	KindPoint                  // PointAt
	KindPoints                 // Points
	KindCells                  // Cells
	KindQuantities             // Lengths
	KindTable                  // a struct: [key]
	KindTables                 // a slice of structs: [[key]]
)

// Number reports whether the field holds one number, with a unit or without.
func (f *Field) Number() bool {
	return f.Kind == KindQuantity || f.Kind == KindNumber || f.Kind == KindCount
}

// Table describes one kind of table of the job file.
type Table struct {
	Fields   []*Field
	Patterns []*Field // keys that stand for others and are gone when the job is read
	keys     []string
}

// Field describes one key of a table, as the struct tags give it.
type Field struct {
	Key      string
	Doc      string
	Kind     Kind
	Dim      quantity.Dimension // of a KindQuantity or KindQuantities
	Choice   []string
	Ref      string   // the kind of thing that it names; "" for none
	AnyOf    []string // the kinds of things that it may name, where they are several
	Required bool
	Min, Max *float64 // inclusive, in base units; nil where there is none
	Positive bool
	Negative bool
	Rated    string // the key of the same table that a voltage per temperature is a ratio of; "" where none is taken
	Table    *Table // of a KindTable or KindTables
	Default  string // the value that holds when the key is left out, as a job would write it; "" for none
	Or       string // the key whose value stands in when this one is left out; see OrKey
	Absent   string // what leaving it out says, in words

	index    []int // of the struct field
	fallback any   // Default as the value of its Given; nil for none
}

// LeftOut says in words what holds when the key is left out; "" where it is
// then unknown.
func (f *Field) LeftOut() string {
	sibling, isSibling := strings.CutPrefix(f.Or, ".")
	switch {
	case isSibling:
		return "as " + sibling
	case f.Or != "":
		return "as " + f.Or
	case f.Default != "" && f.Absent != "":
		return f.Default + ", " + f.Absent
	}
	return f.Default + f.Absent
}

// Meaning is what the value means and what holds when it is left out.
func (f *Field) Meaning() string {
	if says := f.LeftOut(); says != "" {
		return f.Doc + " (left out: " + says + ")"
	}
	return f.Doc
}

// OrKey is the key whose value stands in for this one in the table at key
// table ("circuit.C1"): "site.design_high", "circuit.C1.length"; "" for none.
func (f *Field) OrKey(table string) string {
	if sibling, ok := strings.CutPrefix(f.Or, "."); ok {
		return Join(table, sibling)
	}
	return f.Or
}

// Type names in trade words what the key holds: "length", "list of currents",
// the kind of thing that it names.
func (f *Field) Type() string {
	switch f.Kind {
	case KindQuantity:
		return f.Dim.String()
	case KindQuantities:
		return "list of " + f.Dim.String()
	case KindText:
		if f.Ref != "" {
			return f.Ref
		}
	case KindTexts:
		if f.Ref != "" {
			return "list of " + f.Ref
		}
	}
	return typeNames[f.Kind]
}

var typeNames = map[Kind]string{
	KindNumber: "number",
	KindCount:  "count",
	KindFlag:   "yes or no",
	KindText:   "text",
	KindTexts:  "list of text",
	KindCounts: "list of count",
	KindSize:   "conductor size",
	KindPoint:  "point: [x, y], each a length",
	KindPoints: "list of points",
	KindCells:  "list of places: [row, column], from 1",
	KindTable:  "table",
	KindTables: "rows of a table",
}

// Model describes the whole job file. It is read once from the types of this
// package and is the same for every caller, who must not change it.
var Model = sync.OnceValue(func() *Table { return describe(reflect.TypeFor[Job]()) })

// Field finds a key of the table.
func (t *Table) Field(key string) (*Field, bool) {
	i := slices.IndexFunc(t.Fields, func(f *Field) bool { return f.Key == key })
	if i < 0 {
		return nil, false
	}
	return t.Fields[i], true
}

// Pattern finds a key of the table that stands for others.
func (t *Table) Pattern(key string) (*Field, bool) {
	i := slices.IndexFunc(t.Patterns, func(f *Field) bool { return f.Key == key })
	if i < 0 {
		return nil, false
	}
	return t.Patterns[i], true
}

// Keys lists the keys of the table in the order of the model.
func (t *Table) Keys() []string { return t.keys }

// written lists the keys that a job may write in the table, patterns included.
func (t *Table) written() []string {
	keys := slices.Clone(t.keys)
	for _, f := range t.Patterns {
		keys = append(keys, f.Key)
	}
	return keys
}

// Named reports whether the tables of this kind carry a name.
func (t *Table) Named() bool {
	_, named := t.Field("name")
	return named
}

// Of gives the model's field in its owner, the struct that the table fills.
func (f *Field) Of(owner reflect.Value) reflect.Value { return owner.FieldByIndex(f.index) }

func describe(t reflect.Type) *Table {
	table := &Table{}
	table.addFields(t, nil)
	if patterns, has := patternsOf[t]; has {
		table.Patterns = describe(patterns).Fields
	}
	if table.Named() {
		table.Patterns = append(table.Patterns, describe(reflect.TypeFor[entryPattern]()).Fields...)
	}
	return table
}

// addFields adds the keys of a struct at an index of the table's, those of structs
// embedded in it at their place.
func (t *Table) addFields(of reflect.Type, at []int) {
	for i := range of.NumField() {
		sf := of.Field(i)
		sf.Index = append(slices.Clone(at), i)
		tags := tagsOf(sf.Tag)
		if key, tagged := tags.lookup("key"); tagged && key != "-" {
			t.Fields = append(t.Fields, describeField(key, sf, tags))
			t.keys = append(t.keys, key)
		}
		if sf.Anonymous && sf.Type.Kind() == reflect.Struct {
			t.addFields(sf.Type, sf.Index)
		}
	}
}

// tags are the keys and values of a struct tag: a field of the model has up to ten, and
// reflect reads the tag anew for each that is asked for.
type tags [][2]string

func tagsOf(tag reflect.StructTag) (out tags) {
	for rest := string(tag); rest != ""; rest = strings.TrimLeft(rest, " ") {
		key, quoted, found := strings.Cut(rest, ":")
		prefix, err := strconv.QuotedPrefix(quoted)
		if !found || err != nil {
			panic(fmt.Sprintf("job: the tag %q cannot be read", tag))
		}
		value, err := strconv.Unquote(prefix)
		if err != nil {
			panic(fmt.Sprintf("job: the tag %q: %v", tag, err))
		}
		out = append(out, [2]string{key, value})
		rest = quoted[len(prefix):]
	}
	return out
}

// lookup gives the value of a key, and whether the tag has it.
func (t tags) lookup(key string) (string, bool) {
	for _, pair := range t {
		if pair[0] == key {
			return pair[1], true
		}
	}
	return "", false
}

// get gives the value of a key, "" for one that the tag does not have.
func (t tags) get(key string) string {
	value, _ := t.lookup(key)
	return value
}

var kinds = map[reflect.Type]Kind{
	reflect.TypeFor[Quantity](): KindQuantity,
	reflect.TypeFor[Number]():   KindNumber,
	reflect.TypeFor[Count]():    KindCount,
	reflect.TypeFor[Flag]():     KindFlag,
	reflect.TypeFor[Text]():     KindText,
	reflect.TypeFor[Texts]():    KindTexts,
	reflect.TypeFor[Counts]():   KindCounts,
	reflect.TypeFor[Size]():     KindSize,
	reflect.TypeFor[PointAt]():  KindPoint,
	reflect.TypeFor[Points]():   KindPoints,
	reflect.TypeFor[Cells]():    KindCells,
	reflect.TypeFor[Lengths]():  KindQuantities,
}

// describeField reads the tags of one field. A wrong tag is a defect of this
// package that every test would show, so it panics.
func describeField(key string, sf reflect.StructField, tags tags) *Field {
	f := &Field{
		Key:      key,
		Doc:      tags.get("doc"),
		Required: tags.get("required") == "yes",
		Positive: tags.get("positive") == "yes",
		Negative: tags.get("negative") == "yes",
		Rated:    tags.get("rated"),
		Min:      edge(sf, tags, "min"),
		Max:      edge(sf, tags, "max"),
		Default:  tags.get("default"),
		Or:       tags.get("or"),
		Absent:   tags.get("absent"),
		index:    sf.Index,
	}
	if kinds := tags.get("ref"); strings.Contains(kinds, "|") {
		f.AnyOf = strings.Split(kinds, "|")
	} else {
		f.Ref = kinds
	}
	if words := tags.get("choice"); words != "" {
		f.Choice = strings.Split(words, "|")
	}
	if tags.get("sets") == "yes" {
		for _, s := range StandardSets() {
			f.Choice = append(f.Choice, s.Name)
		}
	}
	kind, given := kinds[sf.Type]
	switch {
	case given:
		f.Kind = kind
	case sf.Type.Kind() == reflect.Slice:
		f.Kind, f.Table = KindTables, describe(sf.Type.Elem())
	default:
		f.Kind, f.Table = KindTable, describe(sf.Type)
	}
	f.describeDimension(sf, tags)
	f.describeCount()
	f.describeDefault(sf)
	return f
}

// describeDefault reads the default by the grammar of a job. What a job could
// not say is no default.
func (f *Field) describeDefault(sf reflect.StructField) {
	if f.Default == "" {
		return
	}
	if f.Or != "" || f.Required {
		panic(fmt.Sprintf("%s: a default beside %q or required", sf.Name, "or"))
	}
	n := &node{value: f.Default}
	switch f.Kind {
	case KindNumber, KindCount, KindFlag:
		n.value = bare(f.Default)
	}
	b := &binder{}
	target := reflect.New(sf.Type)
	b.given(f, n, target.Elem(), f.Key, source.Span{})
	if err := b.faults.Err(); err != nil {
		panic(fmt.Sprintf("%s: default %q: %v", sf.Name, f.Default, err))
	}
	if f.Ref != "" || !target.Elem().FieldByName("Known").Bool() {
		panic(fmt.Sprintf("%s: a key of this kind can have no default", sf.Name))
	}
	f.fallback = target.Elem().FieldByName("Value").Interface()
}

// bare is a value that a job writes without quotes, as it is decoded: a flag or a
// number. Anything else stays a text, which is then refused.
func bare(text string) any {
	if flag, err := strconv.ParseBool(text); err == nil && strconv.FormatBool(flag) == text {
		return flag
	}
	if whole, err := strconv.ParseInt(text, 10, 64); err == nil {
		return whole
	}
	if number, err := strconv.ParseFloat(text, 64); err == nil {
		return number
	}
	return text
}

// describeDimension reads the dimension and the bound of zero it brings.
func (f *Field) describeDimension(sf reflect.StructField, tags tags) {
	name := tags.get("dim")
	if name == "" && (f.Kind == KindQuantities || f.Kind == KindPoint || f.Kind == KindPoints) {
		name = quantity.Length.String()
	}
	if name == "" {
		return
	}
	dim, known := quantity.DimensionByName(name)
	if !known {
		panic(fmt.Sprintf("%s: no dimension is named %q", sf.Name, name))
	}
	f.Dim = dim
	scalar := f.Kind == KindQuantity || f.Kind == KindQuantities
	if scalar && f.Min == nil && !f.Positive && !f.Negative && tags.get("signed") != "yes" && neverNegative(dim) {
		f.Min = new(float64)
	}
}

// describeCount bounds a count that says nothing else: it is zero or more, and
// a place in a grid is one or more.
func (f *Field) describeCount() {
	least := 0.0
	switch {
	case f.Min != nil:
	case f.Kind == KindCells:
		least = 1
		f.Min = &least
	case f.Kind == KindCount || f.Kind == KindCounts:
		f.Min = &least
	}
}

// neverNegative reports whether a value of the dimension is zero or more
// wherever a job states it.
func neverNegative(d quantity.Dimension) bool {
	switch d {
	case quantity.Angle, quantity.Temperature, quantity.TemperatureDifference,
		quantity.VoltagePerTemperature, quantity.RatioPerTemperature, quantity.CurrentPerTemperature:
		return false
	}
	return true
}

func edge(sf reflect.StructField, tags tags, tag string) *float64 {
	text, tagged := tags.lookup(tag)
	if !tagged {
		return nil
	}
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		panic(fmt.Sprintf("%s: %s: %v", sf.Name, tag, err))
	}
	return &x
}
