package plan

import "encoding/json"

// JSON writes a value as the program's files hold it.
func JSON(v any) ([]byte, error) {
	b, err := json.MarshalIndent(v, "", " ")
	if err != nil {
		return nil, err
	}
	return append(b, '\n'), nil
}
