package terms

import (
	"fmt"
	"reflect"
	"strings"

	"plumbrule/internal/job"
)

// NoTwin is what the term twin says where there is none.
const NoTwin = "none"

// DeriveTwin declares the term twin of a kind of the job file: another thing of
// the kind that says the same in everything but its name, by its name.
func DeriveTwin[T any](k KindOf[T]) TermOf[T, string] {
	alike := Analyse(KindFor[job.Job](), "things of kind "+k.kind.Name+" by what they say", func(c *Call, _ *job.Job) map[string][]string {
		out := map[string][]string{}
		for _, s := range c.things(k.kind).list {
			text := sayings(c, reflect.ValueOf(s.data).Elem())
			out[text] = append(out[text], s.Name)
		}
		return out
	})
	return Derive(k, "twin", Word, "another that says the same in everything but its name; "+NoTwin+" where there is none", "the job", "",
		func(c *Call, x *T) string {
			c.Drive(c.subject.At)
			for _, name := range alike.Of(c, c.Job())[sayings(c, reflect.ValueOf(x).Elem())] {
				if name != c.subject.Name {
					return name
				}
			}
			return NoTwin
		})
}

// sayings writes what a thing states, but for its name, so that two that say
// the same are written alike.
func sayings(c *Call, v reflect.Value) string {
	var b strings.Builder
	for i := range v.NumField() {
		x := v.Field(i)
		switch {
		case !v.Type().Field(i).IsExported() || x.Type() == reflect.TypeFor[job.Entity](): // the name
		case x.Kind() == reflect.Struct && x.FieldByName("Known").IsValid():
			known := x.FieldByName("Known").Bool()
			c.out.keys = append(c.out.keys, Read{Key: x.FieldByName("Key").String()})
			if known {
				fmt.Fprintf(&b, "%q=%q;", v.Type().Field(i).Name, fmt.Sprint(x.FieldByName("Value").Interface()))
			}
		case x.Kind() == reflect.Struct && x.Type().PkgPath() == v.Type().PkgPath():
			fmt.Fprintf(&b, "%q={%s};", v.Type().Field(i).Name, sayings(c, x))
		}
	}
	return b.String()
}
