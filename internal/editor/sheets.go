package editor

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"sync"

	"plumbrule/internal/codebook"
)

// sheets puts the sheets of checks that a client asks for into a folder of the
// session, since what a client opens has to be a file.
type sheets struct {
	write func(io.Writer, *codebook.Check) error

	mu     sync.Mutex
	folder string // "" before the first
}

// path is the file with the sheet of a check.
func (s *sheets) path(c *codebook.Check) (string, error) {
	if s == nil || s.write == nil {
		return "", errors.New("there are no sheets")
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.folder == "" {
		folder, err := os.MkdirTemp("", "plumbrule-sheets-")
		if err != nil {
			return "", err
		}
		s.folder = folder
	}
	path := filepath.Join(s.folder, filepath.FromSlash(c.ID)+".md")
	if _, err := os.Stat(path); err == nil {
		return filepath.ToSlash(path), nil
	}
	var page bytes.Buffer
	if err := s.write(&page, c); err != nil {
		return "", err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return "", err
	}
	return filepath.ToSlash(path), os.WriteFile(path, page.Bytes(), 0o400)
}

// remove takes the folder away at the end of the session. What another program
// holds open stays.
func (s *sheets) remove() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.folder != "" {
		os.RemoveAll(s.folder)
	}
}
