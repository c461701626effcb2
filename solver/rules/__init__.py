"""The rules of the salon, one module each: sentence, parameters, checker."""
