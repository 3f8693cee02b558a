package draft

import (
	"reflect"
	"testing"

	"plumbrule/internal/source"
)

// A file of answers reads back as what was written, those left open too.
func TestAnswersReadBack(t *testing.T) {
	a := Answers{"name": "Hill \"house\" 大門\\", "address": "", "building": dwelling, "length": "40 ft"}
	got, err := ReadAnswers(source.NewFile("job.toml.answers", a.TOML()))
	if err != nil || !reflect.DeepEqual(got, a) {
		t.Errorf("%v, %v; expected %v", got, err, a)
	}
	if said := a.Said(); len(said) != 3 {
		t.Errorf("%v says something", said)
	}
}

// A file that a person has written is held like the flags, with every fault at
// its place.
func TestReadAnswersRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"name = \"x\"\nname = \"y\"\n": "a:2:1: name is given twice\n  a:1:1: it is given here first",
		"nmae = \"x\"\r\nlength = 12\r\nbuilding = \"igloo\"\r\nslope = \"steep\"\r\n": "a:1:1: nmae: is no question; take the line out where the question is asked no more; did you mean \"name\"?\n" +
			"a:2:10: length: the answer is no text; it is expected in quotes, as \"12 ft\"\n" +
			"a:3:12: building: found \"igloo\"; one of dwelling, detached-accessory, agricultural, commercial is expected\n" +
			"a:4:9: slope: \"steep\": a number is missing; an angle is expected, such as \"18.4 deg\"; a slope is written as 6:12 or \"26 deg\"",
		"name": "a:1:4: not TOML: expected '=' after key",
	} {
		_, err := ReadAnswers(source.NewFile("a", []byte(text)))
		if err == nil || err.Error() != want {
			t.Errorf("%q:\n%v\nexpected\n%s", text, err, want)
		}
	}
}
