package codebook

import "plumbrule/internal/source"

// New compiles rule files against the vocabulary that is Go alone.
func New(files []*source.File) (*Codebook, error) {
	words, err := newVocabulary()
	if err != nil {
		return nil, err
	}
	return (&Codebook{Words: words}).Add(files)
}
