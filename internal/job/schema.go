package job

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/xeipuuv/gojsonschema"

	"plumbrule/internal/packed"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
	"plumbrule/schema"
)

// SchemaFile is the name of the job file's schema in package schema.
const SchemaFile = "job.schema.json"

// compiled is the schema that jobs are held against.
var compiled = sync.OnceValues(compileSchema)

func compileSchema() (*gojsonschema.Schema, error) {
	text, err := schema.FS.ReadFile(SchemaFile)
	if err != nil {
		return nil, err
	}
	if parts, err := readyParts(); err == nil && parts.SchemaSum == sumOf(text) {
		if bare, err := packed.Decode[any](parts.Schema); err == nil {
			return gojsonschema.NewSchema(gojsonschema.NewRawLoader(bare))
		}
	}
	return gojsonschema.NewSchema(gojsonschema.NewBytesLoader(text))
}

// schema holds the tree against the JSON Schema. The binder says the same
// with better words, so a fault at a place that has one already is left out.
func (b *binder) schema(root *node) {
	s, err := compiled()
	if err != nil {
		b.fault(source.Fault{At: root.span(), Message: "the schema of the job file cannot be used: " + err.Error()})
		return
	}
	result, err := s.Validate(gojsonschema.NewRawLoader(root.plain()))
	if err != nil {
		b.fault(source.Fault{At: root.span(), Message: "the job cannot be held against its schema: " + err.Error()})
		return
	}
	type place struct {
		file  *source.File
		start int
	}
	known := map[place]bool{}
	for _, f := range b.faults {
		known[place{f.At.File, f.At.Start}] = true
	}
	for _, e := range result.Errors() {
		at := schemaPlace(root, e)
		if !known[place{at.File, at.Start}] {
			b.fault(source.Fault{At: at, Path: schemaKey(root, e), Message: e.Field() + ": " + e.Description()})
		}
	}
}

// schemaParts is the path that an error of the validator names.
func schemaParts(e gojsonschema.ResultError) []string {
	const mark = "\x1f" // never part of a key that the validator knows
	return strings.Split(e.Context().String(mark), mark)[1:]
}

// schemaKey is that path as a key, its lists counted from 1.
func schemaKey(root *node, e gojsonschema.ResultError) string {
	key := ""
	for i, part := range schemaParts(e) {
		if n, err := strconv.Atoi(part); err == nil && root.walk(schemaParts(e)[:i]).isList() {
			part = strconv.Itoa(n + 1)
		}
		key = Join(key, part)
	}
	return key
}

// schemaPlace finds where an error of the validator stands.
func schemaPlace(root *node, e gojsonschema.ResultError) source.Span {
	n := root.walk(schemaParts(e))
	if n == nil {
		return root.span()
	}
	if key, ok := e.Details()["property"].(string); ok && n.get(key) != nil {
		return n.get(key).keySpan()
	}
	return n.span()
}

// Schema writes the JSON Schema of the job file from the model. The file in
// package schema is what this gives; a test holds the two together.
func Schema() []byte {
	top := schemaTable(Model())
	top.Properties = slices.Insert(top.Properties, 0, property{includeKey, &schemaNode{
		Description: "files of shared equipment to read into this job, relative to this file",
		Type:        "array",
		Items:       &schemaNode{Type: "string"},
	}}, property{equipmentKey, &schemaNode{Description: equipmentDoc, Type: "string"}})
	top.Schema = "http://json-schema.org/draft-07/schema#"
	top.Title = "plumbrule job"
	top.Description = "One photovoltaic submittal. Quantities are texts with their unit, such as \"12 ft 6 in\"; the format names the dimension. A value that is left out is unknown."
	var text bytes.Buffer
	encoder := json.NewEncoder(&text)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	if err := encoder.Encode(top); err != nil {
		panic(err) // plain structs of texts and numbers always encode
	}
	return text.Bytes()
}

// schemaNode is one schema, its members in the order a reader wants them.
type schemaNode struct {
	Schema      string        `json:"$schema,omitempty"`
	Title       string        `json:"title,omitempty"`
	Description string        `json:"description,omitempty"`
	Type        any           `json:"type,omitempty"` // a type or a list of types
	Format      string        `json:"format,omitempty"`
	Default     any           `json:"default,omitempty"`
	Enum        []string      `json:"enum,omitempty"`
	Minimum     *float64      `json:"minimum,omitempty"`
	Above       *float64      `json:"exclusiveMinimum,omitempty"`
	Maximum     *float64      `json:"maximum,omitempty"`
	Items       *schemaNode   `json:"items,omitempty"`
	MinItems    int           `json:"minItems,omitempty"`
	MaxItems    int           `json:"maxItems,omitempty"`
	Required    []string      `json:"required,omitempty"`
	AnyOf       []*schemaNode `json:"anyOf,omitempty"`
	Properties  properties    `json:"properties,omitempty"`
	Additional  *bool         `json:"additionalProperties,omitempty"`
}

type property struct {
	key  string
	node *schemaNode
}

// properties keeps the order of the model.
type properties []property

// MarshalJSON writes the members in their order.
func (p properties) MarshalJSON() ([]byte, error) {
	var text bytes.Buffer
	text.WriteByte('{')
	for i, member := range p {
		if i > 0 {
			text.WriteByte(',')
		}
		value, err := json.Marshal(member.node)
		if err != nil {
			return nil, err
		}
		fmt.Fprintf(&text, "%q:%s", member.key, value)
	}
	text.WriteByte('}')
	return text.Bytes(), nil
}

func schemaTable(t *Table) *schemaNode {
	n := &schemaNode{Type: "object", Additional: new(bool)}
	for _, f := range t.Fields {
		n.Properties = append(n.Properties, property{f.Key, schemaField(f)})
		if f.Required {
			n.Required = append(n.Required, f.Key)
		}
	}
	for _, f := range t.Patterns {
		n.Properties = append(n.Properties, property{f.Key, schemaField(f)})
	}
	return n
}

// schemaEntry is the schema of an entry of a list. One that may be like another
// need not state what it takes from that.
func schemaEntry(t *Table) *schemaNode {
	n := schemaTable(t)
	if !t.Named() {
		return n
	}
	if others := slices.DeleteFunc(slices.Clone(n.Required), func(key string) bool { return key == "name" }); len(others) > 0 {
		n.Required = []string{"name"}
		n.AnyOf = []*schemaNode{{Required: []string{likeKey}}, {Required: others}}
	}
	return n
}

func schemaField(f *Field) *schemaNode {
	var n *schemaNode
	switch f.Kind {
	case KindTable:
		n = schemaTable(f.Table)
	case KindTables:
		n = &schemaNode{Type: "array", Items: schemaEntry(f.Table)}
	case KindTexts, KindCounts, KindQuantities, KindPoints, KindCells:
		n = &schemaNode{Type: "array", Items: schemaScalar(f, elementKind[f.Kind])}
	default:
		n = schemaScalar(f, f.Kind)
	}
	n.Description = f.Meaning()
	n.Default = f.plainDefault()
	if f.Ref != "" {
		n.Description += " (the name of " + article(f.Ref) + ")"
	}
	if len(f.AnyOf) > 0 {
		n.Description += " (the name of " + article(strings.Join(f.AnyOf, " or ")) + ")"
	}
	return n
}

// plainDefault is the default as JSON has it; nil for none.
func (f *Field) plainDefault() any {
	switch {
	case f.fallback == nil:
		return nil
	case f.Kind == KindQuantity:
		return f.Default
	}
	return f.fallback
}

var elementKind = map[Kind]Kind{
	KindTexts: KindText, KindCounts: KindCount, KindQuantities: KindQuantity, KindPoints: KindPoint, KindCells: KindCells,
}

func schemaScalar(f *Field, kind Kind) *schemaNode {
	switch kind {
	case KindQuantity:
		if f.Dim == quantity.Ratio {
			return &schemaNode{Type: []string{"string", "number"}, Format: formatOf(f.Dim)}
		}
		return &schemaNode{Type: "string", Format: formatOf(f.Dim)}
	case KindNumber:
		return schemaNumber(f, "number")
	case KindCount:
		return schemaNumber(f, "integer")
	case KindFlag:
		return &schemaNode{Type: "boolean"}
	case KindSize:
		return &schemaNode{Type: "string", Format: "conductor size"}
	case KindPoint:
		return &schemaNode{Type: "array", Items: &schemaNode{Type: "string", Format: formatOf(f.Dim)}, MinItems: 2, MaxItems: 2}
	case KindCells:
		return &schemaNode{Type: "array", Items: schemaNumber(f, "integer"), MinItems: 2, MaxItems: 2}
	}
	return &schemaNode{Type: "string", Enum: f.Choice}
}

// formatOf names a dimension in a word that no validator knows: it is there for
// people, and some dimensions share a name with a standard format.
func formatOf(d quantity.Dimension) string { return "quantity of " + d.String() }

// schemaNumber carries the bounds of a field.
func schemaNumber(f *Field, name string) *schemaNode {
	n := &schemaNode{Type: name, Minimum: f.Min, Maximum: f.Max}
	if f.Positive {
		n.Above = new(float64)
	}
	return n
}
