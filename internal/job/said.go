package job

import (
	"errors"
	"reflect"
	"strings"

	"github.com/BurntSushi/toml"

	"plumbrule/internal/source"
)

// Said makes the value of a key, as TOML writes it, of what a person says for
// it: a quantity or a word without quotes, the members of a list parted by
// commas. The error says what is wrong with it and what is expected, by the
// grammar of a job. Keys that hold points, places or tables cannot be said so.
func (f *Field) Said(answer string) (string, error) {
	answer = strings.TrimSpace(answer)
	one := Quote
	switch f.Kind {
	case KindNumber, KindCount, KindCounts, KindFlag:
		one = func(text string) string { return text }
	case KindPoint, KindPoints, KindCells, KindTable, KindTables:
		return "", errors.New("a " + f.Type() + " cannot be said in a line")
	}
	text := one(answer)
	if _, list := elementKind[f.Kind]; list {
		var members []string
		for _, m := range strings.Split(answer, ",") {
			members = append(members, one(strings.TrimSpace(m)))
		}
		text = "[" + strings.Join(members, ", ") + "]"
	}
	var read map[string]any
	if _, err := toml.Decode("value = "+text, &read); err != nil || len(read) != 1 {
		read = map[string]any{"value": answer} // which is of the wrong type, and said to be so
	}
	b := &binder{}
	for typ, kind := range kinds {
		if kind == f.Kind {
			b.given(f, plant(read["value"], source.Place{}), reflect.New(typ).Elem(), f.Key, source.Span{})
		}
	}
	if len(b.faults) > 0 {
		first := b.faults[0]
		first.Message = strings.TrimPrefix(first.Message, f.Key+": ")
		return "", errors.New(first.Text())
	}
	return text, nil
}
