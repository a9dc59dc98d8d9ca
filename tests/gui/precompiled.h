#pragma once
// The same for tests of windows.

#include "tests/precompiled.h"
#include "ui/precompiled.h"

#include <QTest>
