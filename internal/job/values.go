package job

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"sync"

	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// ValueOf is what the job says under a key, in a form that depends on the value
// alone: not on the unit it was written in, on its place, nor on whether it came
// by a pattern. It is "" for a key that is left out.
func (j *Job) ValueOf(key string) string { return j.valued()[key] }

// PlaceInOrder is where a stated key comes among all that the job states, in the
// order of the model; what is left out comes first.
func (j *Job) PlaceInOrder(key string) int {
	j.valued()
	return j.stated.at[key]
}

// valued gives the stated values of the job by their keys. What a job reads from
// a file beside it counts to the key that names the file.
func (j *Job) valued() map[string]string {
	if j.stated == nil { // a job that was put together by hand
		j.stated = &values{}
	}
	j.stated.once.Do(func() {
		j.stated.by, j.stated.at = map[string]string{}, map[string]int{}
		j.stated.collect(reflect.ValueOf(j).Elem())
	})
	return j.stated.by
}

// values are the stated values of a job by their keys.
type values struct {
	once sync.Once
	by   map[string]string
	at   map[string]int // counted from 1
}

func (s *values) collect(v reflect.Value) {
	switch v.Kind() {
	case reflect.Slice:
		for i := range v.Len() {
			s.collect(v.Index(i))
		}
	case reflect.Struct:
		if given, ok := v.Addr().Interface().(value); ok {
			if _, stated := given.place(); stated {
				s.by[given.key()] = plainly(v.FieldByName("Value"))
				s.at[given.key()] = len(s.at) + 1
			}
			return
		}
		beside, file := "", ""
		for _, p := range partsOf(v.Type()) {
			field := v.Field(p.index)
			if p.beside {
				beside += plainly(field)
				continue
			}
			if given, ok := field.Addr().Interface().(value); ok && v.Type().Field(p.index).Tag.Get("key") == "file" {
				file = given.key()
			}
			s.collect(field)
		}
		if file != "" && s.by[file] != "" {
			s.by[file] += beside
		}
	}
}

// plainly writes a value without its places and units. Twelve digits tell what
// two people measured apart, and do not tell 24 in from 2 ft.
func plainly(v reflect.Value) string {
	switch x := v.Interface().(type) {
	case quantity.Value:
		return plainly(reflect.ValueOf(x.SI))
	case float64:
		return strconv.FormatFloat(x, 'e', 11, 64)
	case source.Span:
		return ""
	case *Paper:
		if x == nil {
			return ""
		}
		return x.Sum
	}
	switch v.Kind() {
	case reflect.Slice:
		parts := make([]string, v.Len())
		for i := range parts {
			parts[i] = plainly(v.Index(i))
		}
		return "[" + strings.Join(parts, " ") + "]"
	case reflect.Struct:
		var parts []string
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() && v.Type().Field(i).Type != reflect.TypeFor[source.Span]() {
				parts = append(parts, plainly(v.Field(i)))
			}
		}
		return "{" + strings.Join(parts, " ") + "}"
	case reflect.String:
		return strconv.Quote(v.String())
	}
	return fmt.Sprint(v.Interface())
}
