package from

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"plumbrule/internal/bound"
	"plumbrule/internal/source"
)

// value is a JSON value that knows where it stands.
type value struct {
	at      source.Span
	keys    []string // of an object
	members []*value // of an object, by keys
	items   []*value // of an array
	array   bool
	scalar  any // json.Number, string, bool or nil
}

// get is a member of an object; nil where there is none.
func (v *value) get(key string) *value {
	if v == nil {
		return nil
	}
	for i, k := range v.keys {
		if k == key {
			return v.members[i]
		}
	}
	return nil
}

// text is a string; "" for anything else.
func (v *value) text() string {
	if v == nil {
		return ""
	}
	s, _ := v.scalar.(string)
	return s
}

func (v *value) object() bool { return v != nil && v.keys != nil }

// parseJSON reads a whole file. The fault is where it is no JSON.
func parseJSON(f *source.File) (*value, *source.Fault) {
	p := &parser{file: f, decoder: json.NewDecoder(bytes.NewReader(f.Text))}
	p.decoder.UseNumber()
	v, err := p.value(0)
	if err == nil {
		if _, err = p.decoder.Token(); errors.Is(err, io.EOF) {
			return v, nil
		}
		if err == nil {
			err = errors.New("more follows the end of the data")
		}
	}
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		err = errors.New("the file ends too early")
	}
	offset := int(p.decoder.InputOffset())
	var syntax *json.SyntaxError
	if errors.As(err, &syntax) {
		offset = int(syntax.Offset)
	}
	return nil, &source.Fault{At: p.span(offset, offset), Message: fmt.Sprintf("not JSON: %v", err)}
}

type parser struct {
	file    *source.File
	decoder *json.Decoder
}

func (p *parser) span(start, end int) source.Span {
	most := len(p.file.Text)
	return source.Span{File: p.file, Start: min(max(start, 0), most), End: min(max(end, 0), most)}
}

// next is where the token after the last one begins.
func (p *parser) next() int {
	i := int(p.decoder.InputOffset())
	for i < len(p.file.Text) && bytes.IndexByte([]byte(" \t\r\n,:"), p.file.Text[i]) >= 0 {
		i++
	}
	return i
}

func (p *parser) value(depth int) (*value, error) {
	start := p.next()
	token, err := p.decoder.Token()
	if err != nil {
		return nil, err
	}
	v := &value{}
	if depth > bound.Depth {
		return nil, fmt.Errorf("more than %d values stand inside one another", bound.Depth)
	}
	switch token {
	case json.Delim('{'):
		v.keys = []string{}
		for p.decoder.More() {
			key, err := p.decoder.Token()
			if err != nil {
				return nil, err
			}
			member, err := p.value(depth + 1)
			if err != nil {
				return nil, err
			}
			name, _ := key.(string) // the decoder gives no other key
			v.keys, v.members = append(v.keys, name), append(v.members, member)
		}
		_, err = p.decoder.Token()
	case json.Delim('['):
		v.array = true
		for p.decoder.More() {
			item, err := p.value(depth + 1)
			if err != nil {
				return nil, err
			}
			v.items = append(v.items, item)
		}
		_, err = p.decoder.Token()
	default:
		v.scalar = token
	}
	v.at = p.span(start, int(p.decoder.InputOffset()))
	return v, err
}
