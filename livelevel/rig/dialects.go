package rig

import "math"

// speakers are the dialects of the rig. They differ as boards in the field differ: words, units, order, what is
// sent and how a lost echo is said.
var speakers = []speaker{
	{id: "workshop-board", what: "labelled prose, cm and percent, settings and inputs on every line", report: prose, banner: shortBanner},
	{id: "key-value", what: "key=value with uptime in ms, -1 for a lost echo", report: keyValue, banner: bracketBanner},
	{id: "csv", what: "csv with a header, millimetres, an empty cell for a lost echo", report: csvRow,
		header: "ms;distance_mm;level_pct;pump;supply_mv;air_c;button\r\n", banner: plainBanner},
	{id: "json", what: "JSON lines, everything the board knows, null for a lost echo", report: jsonLine, banner: jsonBanner},
	{id: "log", what: "log lines with a time since start, inches, words for a lost echo", report: logLine, banner: logBanner},
	{id: "block", what: "a report over five lines, then a blank one; metres", report: block, banner: plainBanner},
	{id: "nmea", what: "NMEA 0183 sentences with transducer values and a checksum", report: sentence, banner: nmeaBanner},
	{id: "sparse", what: "a number a line: distance in cm, 0 for a lost echo", report: sparse, banner: bracketBanner},
}

func prose(b []byte, r *report) []byte {
	b = append(b, "Distance: "...)
	if math.IsNaN(r.distance) {
		b = append(b, "no echo"...)
	} else {
		b = append(num(b, r.distance*100, 1, ""), " cm"...)
	}
	b = append(num(append(b, "  Level: "...), r.percent, 1, "--"), " %  Volume: "...)
	b = append(num(b, r.volume*1000, 0, "--"), " l  Pump: "...)
	b = word(b, r.pump, "ON", "OFF")
	b = word(append(b, "  Mode: "...), r.manual, "MANUAL", "AUTO")
	b = append(num(append(b, "  Supply: "...), r.supply, 2, "--"), " V  Air: "...)
	b = append(num(b, r.celsius, 1, "--"), " C  Low set: "...)
	b = append(num(b, r.low, 0, "--"), " %  Full set: "...)
	b = append(num(b, r.fullSet, 1, "--"), " %  Full mark: "...)
	b = append(num(b, r.full*100, 1, "--"), " cm  Empty mark: "...)
	b = append(num(b, r.empty*100, 1, "--"), " cm  Button: "...)
	b = word(b, r.button, "1", "0")
	b = word(append(b, "  Demand: "...), r.demand, "1", "0")
	return append(b, "\r\n"...)
}

func keyValue(b []byte, r *report) []byte {
	b = num(append(b, "up="...), r.up*1000, 0, "")
	b = append(num(append(b, " dist="...), r.distance*100, 1, "-1"), "cm level="...)
	b = num(b, r.percent, 1, "-1")
	b = word(append(b, " pump="...), r.pump, "1", "0")
	b = word(append(b, " mode="...), r.manual, "manual", "auto")
	b = num(append(b, " vs="...), r.supply, 2, "")
	b = num(append(b, " temp="...), r.celsius, 1, "")
	b = num(append(b, " lowset="...), r.low, 0, "0")
	b = num(append(b, " fullset="...), r.fullSet, 1, "0")
	return append(b, "\r\n"...)
}

func csvRow(b []byte, r *report) []byte {
	b = append(num(b, r.up*1000, 0, ""), ';')
	b = append(num(b, r.distance*1000, 0, ""), ';')
	b = append(num(b, r.percent, 1, ""), ';')
	b = append(word(b, r.pump, "1", "0"), ';')
	b = append(num(b, r.supply*1000, 0, ""), ';')
	b = append(num(b, r.celsius, 1, ""), ';')
	return append(word(b, r.button, "1", "0"), "\r\n"...)
}

func jsonLine(b []byte, r *report) []byte {
	b = num(append(b, `{"uptime_ms":`...), r.up*1000, 0, "null")
	b = num(append(b, `,"distance_cm":`...), r.distance*100, 1, "null")
	b = num(append(b, `,"level_percent":`...), r.percent, 1, "null")
	b = num(append(b, `,"volume_l":`...), r.volume*1000, 0, "null")
	b = word(append(b, `,"pump":`...), r.pump, "true", "false")
	b = word(append(b, `,"mode":`...), r.manual, `"manual"`, `"auto"`)
	b = word(append(b, `,"button":`...), r.button, "true", "false")
	b = word(append(b, `,"demand":`...), r.demand, "true", "false")
	b = num(append(b, `,"supply_v":`...), r.supply, 2, "null")
	b = num(append(b, `,"air_c":`...), r.celsius, 1, "null")
	b = num(append(b, `,"echo_quality":`...), r.quality, 0, "null")
	b = num(append(b, `,"settings":{"low_set":`...), r.low, 0, "null")
	b = num(append(b, `,"full_set":`...), r.fullSet, 1, "null")
	b = num(append(b, `,"full_mark_cm":`...), r.full*100, 1, "null")
	b = num(append(b, `,"empty_mark_cm":`...), r.empty*100, 1, "null")
	b = append(append(append(b, `},"reset_cause":"`...), r.cause...), `","wait_s":`...)
	return append(num(b, r.wait, 0, "null"), "}\n"...)
}

func logLine(b []byte, r *report) []byte {
	b = num(append(b, '['), r.up, 3, "")
	if math.IsNaN(r.distance) {
		b = append(b, "] WARN level: no echo"...)
	} else {
		b = num(append(b, "] INFO level: ullage "...), r.distance/0.0254, 2, "")
		b = append(num(append(b, " in, "...), r.percent, 1, "?"), " %"...)
	}
	b = word(append(b, ", relay "...), r.pump, "on", "off")
	b = append(num(append(b, ", supply "...), r.supply, 2, ""), " V"...)
	return append(b, "\n"...)
}

func sparse(b []byte, r *report) []byte {
	return append(num(b, r.distance*100, 1, "0"), "\r\n"...)
}

func block(b []byte, r *report) []byte {
	b = num(append(b, "Reading "...), r.up, 1, "")
	if math.IsNaN(r.distance) {
		b = append(b, " s\r\n  Distance  out of range"...)
	} else {
		b = append(num(append(b, " s\r\n  Distance  "...), r.distance, 3, ""), " m"...)
	}
	b = append(num(append(b, "\r\n  Filled    "...), r.percent, 1, "?"), " %"...)
	b = word(append(b, "\r\n  Pump      "...), r.pump, "running", "stopped")
	b = append(num(append(b, "\r\n  Supply    "...), r.supply, 2, ""), " V\r\n\r\n"...)
	return b
}

// sentence has the transducer sentence of NMEA 0183: type, value, unit, name, four by four; the checksum is the exclusive
// or of what stands between $ and *.
func sentence(b []byte, r *report) []byte {
	from := len(b) + 1
	b = num(append(b, "$IIXDR,D,"...), r.distance, 3, "")
	b = num(append(b, ",M,ULLAGE,E,"...), r.percent, 1, "")
	b = word(append(b, ",P,FreshWater#0,S,"...), r.pump, "1", "0")
	b = num(append(b, ",,PUMP,U,"...), r.supply, 2, "")
	b = num(append(b, ",V,SUPPLY,C,"...), r.celsius, 1, "")
	b = append(b, ",C,AIR"...)
	return append(checksum(b, from), "\r\n"...)
}

func checksum(b []byte, from int) []byte {
	const hex = "0123456789ABCDEF"
	var sum byte
	for _, x := range b[from:] {
		sum ^= x
	}
	return append(b, '*', hex[sum>>4], hex[sum&15])
}

func nmeaBanner(cause string) string {
	line := []byte("$IITXT,01,01,01,start-up reset cause " + cause)
	return string(checksum(line, 1)) + "\r\n"
}

func shortBanner(cause string) string {
	return "\r\nTank level controller, start-up\r\nreset cause: " + cause + "\r\n"
}

func plainBanner(cause string) string {
	return "\r\nTank level controller, start-up\r\nreset cause: " + cause + "\r\nsensor ok, relay off\r\n"
}

func bracketBanner(cause string) string {
	return "\r\n[boot] start-up\r\n[boot] reset cause " + cause + "\r\n"
}

func jsonBanner(cause string) string {
	return "{\"event\":\"start-up\",\"reset_cause\":\"" + cause + "\"}\n"
}

func logBanner(cause string) string {
	return "[0.012] INFO boot: start-up, reset cause " + cause + "\n[0.310] INFO boot: ranger ready\n"
}
