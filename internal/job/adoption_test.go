package job

import (
	"reflect"
	"slices"
	"testing"
)

// Every field of [adoption] that takes an edition is in the list of codes, in
// its order.
func TestCodesAreThoseOfTheJobFile(t *testing.T) {
	var want, got []string
	fields := reflect.TypeOf(Adoption{})
	for i := range fields.NumField() {
		if f := fields.Field(i); f.Tag.Get("choice") != "" {
			want = append(want, f.Tag.Get("key"))
		}
	}
	for _, c := range Codes {
		got = append(got, c.Key)
		if named, ok := CodeNamed(c.Name); !ok || named.Key != c.Key {
			t.Errorf("%s is not found by its name", c.Name)
		}
	}
	if !slices.Equal(got, want) {
		t.Errorf("the codes are %v, the job file has %v", got, want)
	}
}

// Each code reads its own field.
func TestEditionsReadTheFieldOfTheirCode(t *testing.T) {
	text := "[adoption]\n"
	values := map[string]string{"nec": "2020", "ifc": "2018", "irc": "2021", "ibc": "2015", "asce7": "7-16", "nds": "2024", "s100": "2016"}
	for key, v := range values {
		text += key + " = \"" + v + "\"\n"
	}
	j, err := Parse("a.toml", []byte(text+"[project]\nname = \"a\"\n"), nil)
	if err != nil {
		t.Fatal(err)
	}
	list := j.Adoption.Editions()
	if len(list) != len(values) {
		t.Fatalf("%d editions, want %d", len(list), len(values))
	}
	for _, e := range list {
		if e.Edition != values[e.Code.Key] {
			t.Errorf("%s is %q, want %q", e.Code.Key, e.Edition, values[e.Code.Key])
		}
	}
	if got := list[4].String(); got != "ASCE 7-16" {
		t.Errorf("the edition is called %q", got)
	}
	if got := EditionName("common practice", ""); got != "common practice" {
		t.Errorf("a document without an edition is called %q", got)
	}
}
