package table

import (
	"crypto/sha256"
	_ "embed"
	"sync"

	"plumbrule/internal/packed"
)

// What is ready made. The project's tables stand in ready.bin as they are decoded,
// so that a start of the program reads no TOML. A test writes that file (go generate)
// and holds it to the tables. A file whose text is another one is decoded from it.

//go:generate go test -count=1 . -run TestReady$ -update

//go:embed ready.bin
var readyData string

// readyFile is a table file ready made. What it holds is packed for itself, so that it
// is unpacked when a table is asked for and not before.
type readyFile struct {
	Sum        string // of its text
	Code, Name string
	Editions   []string
	Contents   string // contents, packed
}

// readyFiles are the ready files by the sums of their texts.
var readyFiles = sync.OnceValue(func() map[string]*readyFile {
	list, err := packed.Decode[[]readyFile](readyData)
	if err != nil {
		return nil
	}
	out := make(map[string]*readyFile, len(list))
	for i := range list {
		out[list[i].Sum] = &list[i]
	}
	return out
})

// sumOf tells texts apart.
func sumOf(text []byte) string {
	sum := sha256.Sum256(text)
	return string(sum[:])
}
