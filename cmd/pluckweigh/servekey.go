package main

import (
	"errors"
	"fmt"
	"html"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"

	"pluckweigh/calib"
	"pluckweigh/web"
)

// The key to the page is kept, so that links to it last, where its user alone can read it.

var keyForm = regexp.MustCompile(`^[A-Za-z0-9_-]{24}$`)

// pageKey is the key that is kept, or a new one. Where it cannot be kept the error says
// so, and the key is good all the same.
func pageKey() (string, error) {
	path, err := calib.UserFile("page.key")
	if err != nil {
		return web.NewKey(), err
	}
	info, err := os.Lstat(path)
	private := err == nil && info.Mode().IsRegular() && info.Mode().Perm()&0o077 == 0
	if b, err := os.ReadFile(path); private && err == nil && keyForm.Match(b) {
		return string(b), nil
	}
	key := web.NewKey()
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return key, err
	}
	return key, writePrivate(path, key)
}

// writePrivate writes a file anew that nobody else can read, not even while it is written.
func writePrivate(path, content string) error {
	if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = f.WriteString(content)
	return errors.Join(err, f.Close())
}

// browsePrivately opens an address that has a key in it. Everybody on the machine can see
// what a program was started with, so that the browser is given a file that leads there.
// It is taken away again by the function that is returned.
func browsePrivately(at string) (done func(), err error) {
	path, err := calib.UserFile(fmt.Sprintf("open-%d.html", os.Getpid()))
	if err != nil {
		return func() {}, err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return func() {}, err
	}
	page := fmt.Sprintf("<!doctype html><meta charset=\"utf-8\"><title>pluckweigh</title><meta http-equiv=\"refresh\" content=\"0;url=%s\">\n", html.EscapeString(at))
	if err := writePrivate(path, page); err != nil {
		return func() {}, err
	}
	return func() { os.Remove(path) }, browse(path)
}
