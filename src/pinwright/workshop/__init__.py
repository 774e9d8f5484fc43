"""Orders as documents: reading, writing, and doing the whole job."""
