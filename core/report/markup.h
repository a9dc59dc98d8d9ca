#pragma once
#include <QString>

namespace report {

/// Words as the text of an element or attribute of XML or HTML. What XML 1.0 can't hold even escaped becomes a space
/// (control characters) or U+FFFD (half a surrogate pair, U+FFFE, U+FFFF).
QString asMarkup(const QString& words);

} // namespace report
