#pragma once
#include <QLineEdit>
#include <QPlainTextEdit>
#include <functional>

namespace ui {

/// Text of the session in a line. What is typed is handed on once, when the analyst is done with the field (Enter or
/// leaving it); Escape takes it back. The session's own changes show unless the field is being typed in.
class CommitEdit : public QLineEdit {
    Q_OBJECT
public:
    explicit CommitEdit(const QString& placeholder = {}, QWidget* parent = nullptr);
    void setValue(const QString& text);
    const QString& value() const { return m_value; }
    /// Says what is wrong with a text in one sentence, or nothing. A wrong text is reported and not handed on.
    using Check = std::function<QString(const QString&)>;
    void setCheck(Check check) { m_check = std::move(check); }
    /// Checks that let an empty text pass, else say `wrong` with the text for its %1.
    static Check numberFor(std::function<bool(double)> fine, const QString& wrong);
    static Check rate(const QString& wrong); ///< as typedRate()
    static Check wholeNumber(qint64 least, const QString& wrong);
    /// Hands on what has been typed so far. False when it was refused.
    bool commit();

signals:
    void committed(const QString& text);
    void refused(const QString& sentence);
    void entered(); ///< Enter, after what was typed has been handed on

protected:
    void keyPressEvent(QKeyEvent*) override;
    void focusOutEvent(QFocusEvent*) override;

private:
    QString m_value;
    Check m_check;
};

/// The same for text of several lines; Enter makes a line, leaving the field hands it on.
class CommitText : public QPlainTextEdit {
    Q_OBJECT
public:
    explicit CommitText(int lines, const QString& placeholder = {}, QWidget* parent = nullptr);
    void setValue(const QString& text);
    const QString& value() const { return m_value; }
    void commit();

signals:
    void committed(const QString& text);

protected:
    bool event(QEvent*) override;
    void keyPressEvent(QKeyEvent*) override;
    void focusOutEvent(QFocusEvent*) override;

private:
    QString m_value;
};

} // namespace ui
