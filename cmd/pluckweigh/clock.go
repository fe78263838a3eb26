package main

import (
	"errors"
	"fmt"
	"io/fs"
	"time"

	"github.com/spf13/cobra"

	"pluckweigh/audio"
	"pluckweigh/calib"
)

// clockProposal is how to know the recorder's clock better.
const clockProposal = "calibrate it once: pluckweigh calibrate clock"

var errRecorderLive = &callError{"--recorder is for takes: a microphone is known by itself", "leave it out"}

// addRecorder adds the flag that says whose clock a take was recorded by.
func (e *ears) addRecorder(cmd *cobra.Command) {
	cmd.Flags().StringVar(&e.recorder, "recorder", "", "`name` of the recorder that made the takes, whose clock was calibrated")
	e.sound = append(e.sound, "recorder")
}

// checkRecorder finds the recorder that --recorder means.
func (e *ears) checkRecorder() error {
	all, err := kept()
	if err != nil {
		return err
	}
	if e.recorder, err = calib.RecorderNamed(all, e.recorder); err != nil {
		return about("recorder", err)
	}
	return nil
}

// setClock gives a recording the clock of its recorder, where something is to be
// worked out that the clock has a part in.
func (e *ears) setClock(rec *recording, src audio.Source) {
	rec.clock = calib.Uncalibrated()
	name := e.recorder
	if r, ok := src.(audio.Recorder); ok {
		name = r.Device()
	}
	if name == "" || e.judge.work == nil && !e.judge.late {
		return
	}
	all, err := kept()
	if err != nil {
		rec.remark = err.Error() // a reading without a calibration is better than none
		return
	}
	rec.clock, rec.remark = calib.ClockFor(all, name, src.Rate(), time.Now())
}

// kept is what the user has calibrated.
func kept() ([]calib.Entry, error) {
	store, err := userStore()
	if err != nil {
		return nil, err
	}
	all, err := store.Entries()
	var cannot *fs.PathError
	if errors.As(err, &cannot) {
		return nil, &callError{fmt.Sprintf("%s: the calibrations kept cannot be read: %v", store.Path(), cannot.Err),
			"check who may use the file and its folder, or name another folder with XDG_DATA_HOME"}
	}
	return all, storeError(err)
}

// userStore is where the user's calibrations are kept.
func userStore() (*calib.Store, error) {
	store, err := calib.UserStore()
	if err != nil {
		return nil, &callError{err.Error(), "set HOME, or name a folder with XDG_DATA_HOME"}
	}
	return store, nil
}

// storeError sorts an error of the store: what is in the file is input.
func storeError(err error) error {
	var damaged *calib.DamagedError
	var newer *calib.NewerError
	switch {
	case errors.As(err, &damaged):
		return &callError{damaged.Error(), damaged.Hint()}
	case errors.As(err, &newer):
		return &callError{newer.Error(), newer.Hint()}
	}
	return err
}
