package job

import (
	"encoding/json"

	"shoreward/internal/yamlfile"
)

// Schema is the JSON Schema (2020-12) of the job file, for editors. It knows
// keys, kinds of values and ranges of plain numbers; units and geometry are
// judged by Parse alone.
func Schema() ([]byte, error) {
	s := grammar.jsonSchema()
	s["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	s["title"] = "Shoreward job file"
	out, err := json.MarshalIndent(s, "", "  ")
	if err != nil {
		return nil, err
	}
	return append(out, '\n'), nil
}

func (f form) jsonSchema() map[string]any {
	s := map[string]any{}
	switch {
	case f.shape == yamlfile.Single:
		for k, v := range f.schema {
			s[k] = v
		}
		s["description"] = f.want
	case f.shape == yamlfile.List:
		s["type"] = "array"
		s["items"] = f.item.jsonSchema()
		s["description"] = f.want
		if f.min > 0 {
			s["minItems"] = f.min
		}
		if f.max > 0 {
			s["maxItems"] = f.max
		}
	case f.item != nil:
		s["type"] = "object"
		s["additionalProperties"] = f.item.jsonSchema()
		s["description"] = f.want
	default:
		properties, required := map[string]any{}, []string{}
		for _, k := range f.keys {
			p := k.form.jsonSchema()
			p["description"] = k.describe()
			properties[k.name] = p
			if k.must {
				required = append(required, k.name)
			}
		}
		s["type"] = "object"
		s["properties"] = properties
		s["additionalProperties"] = false
		if len(required) > 0 {
			s["required"] = required
		}
	}
	return s
}

// describe is what the schema says of a key.
func (k key) describe() string {
	text := k.doc
	if k.form.want != "" && k.form.shape == yamlfile.Single {
		text += " (" + k.form.want + ")"
	}
	if k.basis != "" {
		text += "; basis " + string(k.basis) + " only"
	}
	return text
}
