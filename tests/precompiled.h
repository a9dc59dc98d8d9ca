#pragma once
// The heavy headers of the libraries, compiled once for all tests; files include what they need nevertheless.

#include "core/precompiled.h"

#include <catch2/catch.hpp>
