package main

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
)

// The key lasts, and is made anew where somebody else could have read it, or where it is
// none.
func TestKeyIsKept(t *testing.T) {
	t.Setenv("XDG_DATA_HOME", t.TempDir())
	path := filepath.Join(os.Getenv("XDG_DATA_HOME"), "pluckweigh", "page.key")
	if runtime.GOOS == "windows" {
		t.Skip("who may read a file is told otherwise")
	}
	fresh := func() string {
		t.Helper()
		key, err := pageKey()
		if err != nil || !keyForm.MatchString(key) {
			t.Fatalf("%q, %v", key, err)
		}
		if info, err := os.Lstat(path); err != nil || info.Mode() != 0o600 {
			t.Fatalf("%v, %v", info.Mode(), err)
		}
		return key
	}
	first := fresh()
	if again := fresh(); again != first {
		t.Errorf("%q became %q", first, again)
	}
	other := filepath.Join(t.TempDir(), "other")
	if err := os.WriteFile(other, []byte(first), 0o600); err != nil {
		t.Fatal(err)
	}
	for name, spoil := range map[string]func() error{
		"read by others": func() error { return os.Chmod(path, 0o644) },
		"cut":            func() error { return os.WriteFile(path, []byte(first[:5]), 0o600) },
		"empty":          func() error { return os.WriteFile(path, nil, 0o600) },
		"a link":         func() error { os.Remove(path); return os.Symlink(other, path) },
	} {
		before := fresh()
		if err := spoil(); err != nil {
			t.Fatal(err)
		}
		if after := fresh(); after == before || after == first {
			t.Errorf("%s: it is still %q", name, after)
		}
	}
	if b, err := os.ReadFile(other); err != nil || string(b) != first {
		t.Errorf("what the link led to became %q, %v", b, err)
	}
	// Where it cannot be kept there is one all the same.
	t.Setenv("XDG_DATA_HOME", other)
	if key, err := pageKey(); err == nil || !keyForm.MatchString(key) {
		t.Errorf("%q, %v", key, err)
	}
}

// The browser is not started with the key in its call, which all on the machine can see.
func TestBrowserIsOpenedPrivately(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("it is opened otherwise")
	}
	t.Setenv("XDG_DATA_HOME", t.TempDir())
	called := filepath.Join(t.TempDir(), "called")
	bin := t.TempDir()
	script := "#!/bin/sh\necho \"$@\" > " + called + ".new; mv " + called + ".new " + called + "\n"
	if err := os.WriteFile(filepath.Join(bin, "xdg-open"), []byte(script), 0o755); err != nil {
		t.Fatal(err)
	}
	t.Setenv("PATH", bin+":"+os.Getenv("PATH"))
	done, err := browsePrivately("http://127.0.0.1:1/?key=secret\"&x")
	if err != nil {
		t.Fatal(err)
	}
	var args string
	for end := time.Now().Add(10 * time.Second); args == ""; time.Sleep(10 * time.Millisecond) {
		b, _ := os.ReadFile(called)
		if args = strings.TrimSpace(string(b)); time.Now().After(end) {
			t.Fatal("the browser is not called")
		}
	}
	if strings.Contains(args, "secret") {
		t.Errorf("it is called with %q", args)
	}
	page, err := os.ReadFile(args)
	if info, odd := os.Stat(args); err != nil || odd != nil || info.Mode() != 0o600 || !strings.Contains(string(page), "/?key=secret&#34;&amp;x") {
		t.Errorf("%v, %v: %s", err, odd, page)
	}
	if done(); exists(args) {
		t.Error("what leads to the page is left")
	}
}
