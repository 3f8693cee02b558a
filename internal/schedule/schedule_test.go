package schedule

import (
	"fmt"
	"testing"

	"plumbrule/internal/source"
)

func TestLinesWithTheirPlaces(t *testing.T) {
	for _, c := range []struct {
		text string
		form Form
		want string // line:column of the last field of each line, and the fields; or the fault
	}{
		{"a,b\n# remark\n 1, \"x y\"\r\n", Form{Separator: ','}, "1:3 [a b]; 3:5 [1 x y]; "},
		{"a,b\n# remark\n 1,x\n", Form{Separator: ',', Plain: true}, "1:3 [a b]; 2:1 [# remark]; 3:4 [ 1 x]; "},
		{"a;b\n1,5;2\n", Form{Separator: ';'}, "1:3 [a b]; 2:5 [1,5 2]; "},
		{"a,b\n4 1/2\",2\n", Form{Separator: ',', Inches: true}, `1:3 [a b]; 2:8 [4 1/2" 2]; `},
		{"a,b\n4 1/2\",2\n", Form{Separator: ','}, "1:3 [a b]; f:2:6: the line cannot be read: bare \" in non-quoted-field"},
		{"a,b\n1,\"2\n3,4\n", Form{Separator: ','}, "1:3 [a b]; f:2:1: the line cannot be read: extraneous or missing \" in quoted-field"},
		{"", Form{Separator: ','}, ""},
	} {
		lines, got := Read(source.NewFile("f", []byte(c.text)), c.form), ""
		for {
			fields, err := lines.Next()
			if err != nil {
				got += err.Error()
			}
			if fields == nil {
				break
			}
			at := lines.Place(len(fields) - 1).Position()
			got += fmt.Sprintf("%d:%d %v; ", at.Line, at.Column, fields)
			if lines.Place(0).Position().Line != lines.Line() {
				t.Errorf("%q: line %d", c.text, lines.Line())
			}
		}
		if got != c.want {
			t.Errorf("%q: %s, expected %s", c.text, got, c.want)
		}
	}
}

func TestSeparator(t *testing.T) {
	for text, want := range map[string]rune{"": ',', "a,b": ',', "\n# a;b\na,b\n1;2": ',', "\r\na;b\r\n1,5;2": ';'} {
		if got := Separator([]byte(text)); got != want {
			t.Errorf("%q: %c, expected %c", text, got, want)
		}
	}
}
