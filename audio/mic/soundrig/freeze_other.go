//go:build !unix

package soundrig

// Freeze is not to be had here: nor is a rig.
func (r *Rig) Freeze() { r.t.Fatal("soundrig: made for Linux") }
