"""Stock lists and suppliers' price lists as tables, CSV or XLSX: read whole or not at all."""
