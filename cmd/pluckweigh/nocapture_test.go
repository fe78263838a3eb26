//go:build !cgo || nomic

package main

const captureBuilt = false
