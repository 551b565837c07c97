"""What may be said of a claim: traces, evidence, answers, and the judge that goes between."""
