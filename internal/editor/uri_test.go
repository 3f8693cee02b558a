package editor

import "testing"

// Names of files come and go as editors of each system write them.
func TestURIs(t *testing.T) {
	for _, test := range []struct{ uri, path, back string }{
		{"file:///home/a/job.toml", "/home/a/job.toml", "file:///home/a/job.toml"},
		{"file:///home/a%20b/100%20%25%20%C3%A9.toml", "/home/a b/100 % é.toml", "file:///home/a%20b/100%20%25%20%C3%A9.toml"},
		{"file:///home/a b/é.toml", "/home/a b/é.toml", "file:///home/a%20b/%C3%A9.toml"},
		{"file:///a/%23x%3F.toml", "/a/#x?.toml", "file:///a/%23x%3F.toml"},
		{"file://localhost/a/job.toml", "/a/job.toml", "file:///a/job.toml"},
		{"file:///a/./b/../job.toml", "/a/job.toml", "file:///a/job.toml"},
		{"file:///c%3A/Jobs/barn.toml", "C:/Jobs/barn.toml", "file:///C:/Jobs/barn.toml"},
		{"file:///C:/Jobs/barn.toml", "C:/Jobs/barn.toml", "file:///C:/Jobs/barn.toml"},
		{"file:///c:", "C:", "file:///C:"},
		{"file://server/share/a%20b.toml", "//server/share/a b.toml", "file://server/share/a%20b.toml"},
		{"untitled:Untitled-1", "untitled:Untitled-1", "untitled:Untitled-1"},
		{"file:///a/%zz.toml", "file:///a/%zz.toml", "file:///a/%zz.toml"},
		{"", "", ""},
	} {
		if got := pathOf(test.uri); got != test.path {
			t.Errorf("%s is the file %q, want %q", test.uri, got, test.path)
		}
		if got := uriOf(test.path); got != test.back {
			t.Errorf("%q is called %s, want %s", test.path, got, test.back)
		}
	}
}
