# Tracks the pitch of the files named in a list, one path a line, by
# autocorrelation with Praat's standard settings but for floor and ceiling.
form Pitch tracks
    positive Floor_(Hz)
    positive Ceiling_(Hz)
    sentence List
endform

if fileReadable (list$)
    list = Read Strings from raw text file: list$
    files = Get number of strings
    for i to files
        selectObject: list
        path$ = Get string: i
        sound = Read from file: path$
        pitch = To Pitch (ac): 0, floor, 15, "no", 0.03, 0.45, 0.01, 0.35, 0.14, ceiling
        appendInfoLine: "file"
        frames = Get number of frames
        for j to frames
            hz = Get value in frame: j, "Hertz"
            if hz <> undefined
                time = Get time from frame number: j
                appendInfoLine: time, " ", hz
            endif
        endfor
        removeObject: sound, pitch
    endfor
endif
appendInfoLine: "end"
