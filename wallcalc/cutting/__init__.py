"""What pieces are cut from: lengths of timber, sheets and slabs, with a bound on what any plan must cost."""
