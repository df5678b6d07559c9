package dialect

import "slices"

// builtins are dialects of the kinds that small controllers speak, to begin with where nothing was
// worked out: each an example of its kind, to be copied and mended.
var builtins = []Dialect{
	{Name: "labelled-text", Kind: Text, Encoding: "utf-8", Decimal: ".", Fields: []Field{
		{Role: "ullage", At: "Distance", Unit: "cm", Lost: []string{"0", "-1", "out of range"}},
		{Role: "level-percent", At: "Level", Unit: "%", Optional: true},
		{Role: "pump", At: "Pump", On: []string{"ON", "1", "running"}, Off: []string{"OFF", "0", "stopped"}, Optional: true},
	}, Restart: []string{"start-up", "reset cause"}},
	{Name: "csv-header", Kind: CSV, Encoding: "utf-8", Decimal: ".", Separator: ",", Header: true, Fields: []Field{
		{Role: "uptime", At: "ms", Unit: "ms", Optional: true},
		{Role: "ullage", At: "distance_cm", Unit: "cm", Lost: []string{"", "-1"}},
		{Role: "pump", At: "pump", On: []string{"1"}, Off: []string{"0"}, Optional: true},
	}},
	{Name: "json-lines", Kind: JSON, Encoding: "utf-8", Decimal: ".", Fields: []Field{
		{Role: "ullage", At: "distance_mm", Unit: "mm", Lost: []string{"null", "-1"}},
		{Role: "pump", At: "pump", On: []string{"true", "1"}, Off: []string{"false", "0"}, Optional: true},
	}},
	{Name: "nmea-0183", Kind: NMEA, Encoding: "utf-8", Decimal: ".", Fields: []Field{
		{Role: "ullage", At: "DBT/3", Unit: "m", Lost: []string{""}},
	}},
}

// Builtins are the built-in dialects.
func Builtins() []Dialect { return slices.Clone(builtins) }

// Builtin finds a built-in dialect by its name.
func Builtin(name string) (Dialect, bool) {
	i := slices.IndexFunc(builtins, func(d Dialect) bool { return d.Name == name })
	if i < 0 {
		return Dialect{}, false
	}
	return builtins[i], true
}
