package cli

import (
	"bufio"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
)

// product is one file or folder that a command makes: by which flag it was
// asked for, where it goes, and what makes it under a name that it is given. A
// folder is new or holds nothing.
type product struct {
	flag, path string
	folder     bool
	make       func(s *stage, name string) error
}

// file is one file that a command makes, with what writes it.
type file struct {
	flag, path string
	write      func(io.Writer) error
}

// product is the file as something to be made.
func (f file) product() product { return product{flag: f.flag, path: f.path, make: f.create} }

// orElse is the product with what is done where it cannot be made.
func (p product) orElse(do func()) product {
	make := p.make
	p.make = func(s *stage, name string) error {
		err := make(s, name)
		if err != nil {
			do()
		}
		return err
	}
	return p
}

// all writes a text that there is already.
func all(text []byte) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := w.Write(text)
		return err
	}
}

// put makes every product whole or none at all: each first under another name
// in the folder where it goes, and only when all are there, and on the disk, are
// they renamed; where a renaming fails, those before it are taken back. It
// is the only place where a command writes. It refuses to write over what the
// command read, twice in one place, or through a link. When the program is told
// to end, what was made so far is taken away again; once the renaming has begun
// it is carried through.
func put(read []string, products ...product) error {
	if err := mayWrite(products, read); err != nil {
		return err
	}
	return putOnce(func() ([]string, error) { return read, nil }, products...)
}

// putOnce is put where only the making tells what is read: ready waits for that,
// and its error lets nothing be put in its place. The products are made side by side.
func putOnce(ready func() ([]string, error), products ...product) error {
	if err := mayWrite(products, nil); err != nil {
		return err
	}
	told := make(chan os.Signal, 1)
	for _, s := range []os.Signal{os.Interrupt, syscall.SIGTERM, syscall.SIGHUP} {
		if !signal.Ignored(s) { // as by nohup
			signal.Notify(told, s)
		}
	}
	defer signal.Stop(told)

	s := &stage{products: products, parts: make([]string, len(products)), stood: make([]bool, len(products))}
	defer s.clear()
	for i, p := range products {
		s.parts[i] = place(p.path) + "." + rand.Text() + ".part"
	}
	made := make(chan error, 1)
	go func() {
		if err := s.make(); err != nil {
			made <- err
			return
		}
		read, err := ready()
		if err == nil {
			err = apart(products, read)
		}
		made <- err
	}()
	select {
	case err := <-made:
		if err != nil {
			return err
		}
	case <-told:
		return errInterrupted
	}
	select {
	case <-told: // at the same time
		return errInterrupted
	default:
		return s.rename()
	}
}

// errInterrupted is how a command ends that was told to end while it wrote.
var errInterrupted = failed(errors.New("interrupted; no file was written"))

// stage is where the products stand while they are made.
type stage struct {
	products []product
	parts    []string // the names under which they are made
	stood    []bool   // whether something was there before, once a product is in its place

	// What follows is changed under the lock, so that nothing is made behind the
	// back of a clearing.
	lock    sync.Mutex
	cleared bool
	open    []*os.File
}

func (s *stage) make() error {
	makes := make([]func() error, len(s.products))
	for i, p := range s.products {
		makes[i] = func() error { return p.make(s, s.parts[i]) }
	}
	for _, err := range abreast(makes...) {
		if err != nil {
			return err
		}
	}
	return nil
}

// abreast runs functions that wait for one another, all at once, and gives the
// error of each in its place; a panic in one becomes an error.
func abreast(functions ...func() error) []error {
	errs := make([]error, len(functions))
	var wg sync.WaitGroup
	for i, f := range functions {
		wg.Go(func() { errs[i] = together(f)[0] })
	}
	wg.Wait()
	return errs
}

// step does something to the files of the stage, unless it is cleared.
func (s *stage) step(do func() error) error {
	s.lock.Lock()
	defer s.lock.Unlock()
	if s.cleared {
		return errInterrupted
	}
	return do()
}

// clear takes away what was made and not renamed.
func (s *stage) clear() {
	s.lock.Lock()
	defer s.lock.Unlock()
	s.cleared = true
	for _, f := range s.open {
		f.Close() // some systems take no file away that is open
	}
	for _, part := range s.parts {
		os.RemoveAll(part) // those renamed are gone
	}
}

// rename puts all products in their places. Where one cannot be put there, those
// before it are taken back, and what they took the place of is put back.
func (s *stage) rename() error {
	for i, p := range s.products {
		err := s.replace(i)
		if err == nil {
			continue
		}
		err = fmt.Errorf("%s %s: %w", p.flag, p.path, err)
		left := false
		for j := i - 1; j >= 0; j-- {
			if back := s.restore(j); back != nil {
				left, err = true, fmt.Errorf("%w; %s %s could not be put back: %w", err, s.products[j].flag, s.products[j].path, back)
			}
		}
		if !left {
			err = fmt.Errorf("%w; no file was changed", err)
		}
		return failed(err)
	}
	for i := range s.products {
		os.Remove(s.kept(i)) // most have kept nothing
	}
	return nil
}

// kept is the name under which the file is kept that a product takes the place of.
func (s *stage) kept(i int) string { return s.parts[i] + ".old" }

// replace puts a product in its place, and keeps what stood there.
func (s *stage) replace(i int) error {
	p, at := s.products[i], place(s.products[i].path)
	info, err := os.Lstat(at)
	s.stood[i] = err == nil
	switch {
	case err != nil: // nothing is there, or what follows says what is wrong
	case p.folder:
		err := os.Remove(at) // some systems rename over no folder, though it holds nothing
		if err != nil {
			return err
		}
	case !info.Mode().IsRegular():
		return errors.New("something else than a file has come to stand there")
	case os.Link(at, s.kept(i)) == nil: // a second name, so that there is no moment without the file
	default: // some systems have no such names
		if err := os.Rename(at, s.kept(i)); err != nil {
			return err
		}
	}
	if err = os.Rename(s.parts[i], at); err == nil || !s.stood[i] {
		return err
	}
	if p.folder {
		return errors.Join(err, os.Mkdir(at, 0o777))
	}
	if back := os.Rename(s.kept(i), at); back != nil {
		return fmt.Errorf("%w; what was there is in %s: %w", err, s.kept(i), back)
	}
	os.Remove(s.kept(i)) // still there where it was a second name of the same file
	return err
}

// restore takes a product back and puts what stood there in its place.
func (s *stage) restore(i int) error {
	at := place(s.products[i].path)
	switch folder := s.products[i].folder; {
	case folder && s.stood[i]:
		return errors.Join(os.Rename(at, s.parts[i]), os.Mkdir(at, 0o777))
	case folder:
		return os.Rename(at, s.parts[i])
	case s.stood[i]:
		return os.Rename(s.kept(i), at)
	}
	return os.Remove(at)
}

// create writes the file under a new name. It may be read by whom the file may
// be read by that it takes the place of.
func (f file) create(s *stage, name string) error {
	mode := os.FileMode(0o666)
	old, err := os.Stat(f.path)
	if err == nil {
		mode = old.Mode().Perm()
	}
	var w *os.File
	err = s.step(func() (err error) {
		w, err = os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
		s.open = append(s.open, w)
		return err
	})
	if err != nil {
		if errors.Is(err, errInterrupted) {
			return err
		}
		return wrong("%s %s: no file can be made there", f.flag, f.path)
	}
	b := bufio.NewWriter(w)
	err = f.write(b)
	if err == nil {
		err = b.Flush()
	}
	if err == nil && old != nil {
		err = w.Chmod(mode) // the system may have taken some of it away
	}
	if err == nil {
		err = w.Sync()
	}
	if shut := w.Close(); err == nil {
		err = shut
	}
	if err != nil {
		return defect(err)
	}
	return nil
}

// place is where a product goes, as its folder is really called. A link at its
// end is not followed.
func place(path string) string {
	for len(path) > 1 && os.IsPathSeparator(path[len(path)-1]) {
		path = path[:len(path)-1]
	}
	folder, name := filepath.Split(path) // as it is: behind a link .. is another folder than before it
	if real, err := filepath.EvalSymlinks(folder + "."); err == nil {
		folder = real
	}
	if whole, err := filepath.Abs(folder); err == nil {
		folder = whole
	}
	return filepath.Join(folder, name)
}

// mayWrite refuses products in places where nothing may be written.
func mayWrite(products []product, read []string) error {
	for i, p := range products {
		info, err := os.Lstat(p.path)
		switch {
		case err != nil: // there is nothing yet, or making it will say what is wrong
		case info.Mode()&os.ModeSymlink != 0:
			return wrong("%s %s: a link, which is not written through; name the file itself", p.flag, p.path)
		case p.folder && !info.IsDir():
			return wrong("%s %s: not a folder", p.flag, p.path)
		case !p.folder && !info.Mode().IsRegular():
			return wrong("%s %s: not a regular file", p.flag, p.path)
		}
		for _, q := range products[:i] {
			if same(p.path, q.path) {
				return wrong("%s is to be written twice", p.path)
			}
		}
	}
	return apart(products, read)
}

// apart refuses products in the place of what was read.
func apart(products []product, read []string) error {
	for _, p := range products {
		for _, name := range read {
			if same(p.path, name) {
				return wrong("%s %s: this file is part of the job or was read for it", p.flag, p.path)
			}
		}
	}
	return nil
}

// same reports whether two names are of one file, however they are spelled and
// linked. Names that differ only in capitals are one on some systems, so they
// are on all.
func same(a, b string) bool {
	if strings.EqualFold(place(a), place(b)) {
		return true
	}
	one, err := os.Stat(a)
	other, missing := os.Stat(b)
	return err == nil && missing == nil && os.SameFile(one, other)
}
