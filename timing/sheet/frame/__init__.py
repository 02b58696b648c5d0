"""The frame sheet: a passage of the plan as whole frames, then as marks on paper."""
