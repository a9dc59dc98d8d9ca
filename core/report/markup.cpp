#include "core/report/markup.h"

namespace report {

QString asMarkup(const QString& words)
{
    QString clean;
    clean.reserve(words.size());
    for (qsizetype i = 0; i < words.size(); ++i) {
        const QChar c = words[i];
        if (c.isHighSurrogate() && i + 1 < words.size() && words[i + 1].isLowSurrogate()) {
            clean += c;
            clean += words[++i];
        } else if (c.isSurrogate() || c.unicode() >= 0xfffe) {
            clean += QChar(QChar::ReplacementCharacter);
        } else {
            clean += c.unicode() < 0x20 || c.unicode() == 0x7f ? QChar(u' ') : c;
        }
    }
    return clean.toHtmlEscaped();
}

} // namespace report
