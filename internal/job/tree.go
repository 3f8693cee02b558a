package job

import (
	"encoding/json"
	"maps"
	"slices"
	"strconv"
	"time"

	"plumbrule/internal/source"
)

// node is one table, list or scalar of a TOML file with its place. A table
// has a map, a list has elements, a scalar has a value.
type node struct {
	at    source.Place
	table map[string]*node
	list  []*node
	value any // string, int64, float64, bool or time.Time

	open bool // it would have more, had a pattern of it been expanded
}

// at is where to point when the node as a whole is meant.
func (n *node) span() source.Span { return n.at.Best() }

// keySpan is where its key stands, for a fault of the key itself.
func (n *node) keySpan() source.Span {
	if n.at.Key.Known() {
		return n.at.Key
	}
	return n.span()
}

func (n *node) isTable() bool { return n.table != nil }
func (n *node) isList() bool  { return n.list != nil }

// get gives a key of a table; nil when the table is absent or lacks it.
func (n *node) get(key string) *node {
	if n == nil {
		return nil
	}
	return n.table[key]
}

// keys lists the keys of a table in one fixed order.
func (n *node) keys() []string { return slices.Sorted(maps.Keys(n.table)) }

// holdsTables reports whether a list is an array of tables.
func (n *node) holdsTables() bool {
	return n.isList() && !slices.ContainsFunc(n.list, func(e *node) bool { return !e.isTable() })
}

// grow makes nodes of a decoded value and of where its parts stand.
func grow(value any, path string, index *source.Index) *node {
	n := &node{at: index.Of(path)}
	switch v := value.(type) {
	case map[string]any:
		n.table = make(map[string]*node, len(v))
		for key, child := range v {
			n.table[key] = grow(child, source.Key(path, key), index)
		}
	case []map[string]any:
		n.list = make([]*node, len(v))
		for i, child := range v {
			n.list[i] = grow(child, source.Item(path, i), index)
		}
	case []any:
		n.list = make([]*node, len(v))
		for i, child := range v {
			n.list[i] = grow(child, source.Item(path, i), index)
		}
	default:
		n.value = v
	}
	return n
}

// plant makes nodes of a value that stands in no file; all of it is said to
// stand at one place.
func plant(value any, at source.Place) *node {
	n := &node{at: at}
	switch v := value.(type) {
	case map[string]any:
		n.table = make(map[string]*node, len(v))
		for key, child := range v {
			n.table[key] = plant(child, at)
		}
	case []map[string]any:
		n.list = make([]*node, len(v))
		for i, child := range v {
			n.list[i] = plant(child, at)
		}
	case []any:
		n.list = make([]*node, len(v))
		for i, child := range v {
			n.list[i] = plant(child, at)
		}
	case int:
		n.value = int64(v)
	default:
		n.value = v
	}
	return n
}

// clone copies the tables and lists; scalars are shared, for nobody changes
// them.
func (n *node) clone() *node {
	switch {
	case n.isTable():
		c := &node{at: n.at, table: make(map[string]*node, len(n.table))}
		for key, child := range n.table {
			c.table[key] = child.clone()
		}
		return c
	case n.isList():
		c := &node{at: n.at, list: make([]*node, len(n.list))}
		for i, child := range n.list {
			c.list[i] = child.clone()
		}
		return c
	}
	return n
}

// share copies the tables and shares the rest.
func (n *node) share() *node {
	if !n.isTable() {
		return n
	}
	c := &node{at: n.at, open: n.open, table: make(map[string]*node, len(n.table))}
	for key, child := range n.table {
		c.table[key] = child.share()
	}
	return c
}

// size counts the nodes of which it consists.
func (n *node) size() int {
	size := 1
	for _, child := range n.table {
		size += child.size()
	}
	for _, element := range n.list {
		size += element.size()
	}
	return size
}

// plain is the node as a JSON document has it, for the schema.
func (n *node) plain() any {
	switch {
	case n.isTable():
		m := make(map[string]any, len(n.table))
		for key, child := range n.table {
			m[key] = child.plain()
		}
		return m
	case n.isList():
		list := make([]any, len(n.list))
		for i, child := range n.list {
			list[i] = child.plain()
		}
		return list
	}
	switch v := n.value.(type) {
	case int64:
		return json.Number(strconv.FormatInt(v, 10))
	case float64:
		return plainFloat(v)
	case time.Time:
		return n.at.Value.Text()
	}
	return n.value
}

// plainFloat is a float as JSON has it; what JSON cannot hold becomes a text,
// which no key for numbers takes.
func plainFloat(v float64) any {
	text := strconv.FormatFloat(v, 'g', -1, 64)
	if json.Valid([]byte(text)) {
		return json.Number(text)
	}
	return text
}

// walk follows the parts of a path from a node; nil when there is no such
// node. A part of a list is a number counted from 0.
func (n *node) walk(parts []string) *node {
	for _, part := range parts {
		switch {
		case n == nil:
			return nil
		case n.isList():
			i, err := strconv.Atoi(part)
			if err != nil || i < 0 || i >= len(n.list) {
				return nil
			}
			n = n.list[i]
		default:
			n = n.get(part)
		}
	}
	return n
}
