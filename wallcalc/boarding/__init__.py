"""How boards lie: courses, runs, joints, and which sheets they are cut from."""
