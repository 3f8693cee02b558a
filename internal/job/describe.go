package job

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"

	"plumbrule/internal/quantity"
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

// Table describes one kind of table of the job file.
type Table struct {
	Fields []*Field
	keys   []string
}

// Field describes one key of a table, as the struct tags give it.
type Field struct {
	Key      string
	Doc      string
	Kind     Kind
	Dim      quantity.Dimension // of a KindQuantity or KindQuantities
	Choice   []string
	Ref      string
	Required bool
	Min, Max *float64 // inclusive, in base units; nil where there is none
	Positive bool
	Negative bool
	Table    *Table // of a KindTable or KindTables

	index []int // of the struct field
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

// Keys lists the keys of the table in the order of the model.
func (t *Table) Keys() []string { return t.keys }

// Named reports whether the tables of this kind carry a name.
func (t *Table) Named() bool {
	_, named := t.Field("name")
	return named
}

// Of gives the model's field in its owner, the struct that the table fills.
func (f *Field) Of(owner reflect.Value) reflect.Value { return owner.FieldByIndex(f.index) }

func describe(t reflect.Type) *Table {
	table := &Table{}
	for _, sf := range reflect.VisibleFields(t) {
		key, tagged := sf.Tag.Lookup("key")
		if !tagged || key == "-" {
			continue
		}
		table.Fields = append(table.Fields, describeField(key, sf))
		table.keys = append(table.keys, key)
	}
	return table
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
func describeField(key string, sf reflect.StructField) *Field {
	f := &Field{
		Key:      key,
		Doc:      sf.Tag.Get("doc"),
		Ref:      sf.Tag.Get("ref"),
		Required: sf.Tag.Get("required") == "yes",
		Positive: sf.Tag.Get("positive") == "yes",
		Negative: sf.Tag.Get("negative") == "yes",
		Min:      bound(sf, "min"),
		Max:      bound(sf, "max"),
		index:    sf.Index,
	}
	if words := sf.Tag.Get("choice"); words != "" {
		f.Choice = strings.Split(words, "|")
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
	f.describeDimension(sf)
	f.describeCount()
	return f
}

// describeDimension reads the dimension and the bound of zero it brings.
func (f *Field) describeDimension(sf reflect.StructField) {
	name := sf.Tag.Get("dim")
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
	if scalar && f.Min == nil && !f.Positive && !f.Negative && sf.Tag.Get("signed") != "yes" && neverNegative(dim) {
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

func bound(sf reflect.StructField, tag string) *float64 {
	text, tagged := sf.Tag.Lookup(tag)
	if !tagged {
		return nil
	}
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		panic(fmt.Sprintf("%s: %s: %v", sf.Name, tag, err))
	}
	return &x
}
