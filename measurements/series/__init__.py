"""The page of one foot's series: its table, chart, sentences, certainty and what-ifs."""
